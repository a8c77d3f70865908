package phantom

import (
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// squares is a mesh of squares apart, of the given sides.
func squares(sides ...float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i, a := range sides {
		n := mesh.VertexID(len(m.Pos))
		x := 50 * float64(i)
		m.Pos = append(m.Pos, r3.V(x, 0, 0), r3.V(x+a, 0, 0), r3.V(x+a, a, 0), r3.V(x, a, 0))
		m.Tri = append(m.Tri, [3]mesh.VertexID{n, n + 1, n + 2}, [3]mesh.VertexID{n, n + 2, n + 3})
	}
	return m
}

// TestLoosePiecesAreFragments: a loose fragment is what it is by its size, whatever left
// it there; a record of the bite consists of pieces.
func TestLoosePiecesAreFragments(t *testing.T) {
	for _, c := range []struct {
		name  string
		scans []*made
		want  int
	}{
		{"whole", []*made{{role: Working, mesh: squares(30)}}, 0},
		{"a scrap of 3.6 mm²", []*made{{role: Working, mesh: squares(30, 1.9)}}, 1},
		{"a piece of 4.4 mm²", []*made{{role: Opposing, mesh: squares(30, 2.1)}}, 0},
		{"scraps in two scans", []*made{{role: Working, mesh: squares(30, 1)}, {role: Before, mesh: squares(30, 1)}}, 1},
		{"a record in pieces", []*made{{role: Bite, mesh: squares(10, 1.9)}}, 0},
	} {
		b := &build{scans: c.scans}
		b.judgePieces()
		if len(b.found) != c.want {
			t.Errorf("%s: %+v", c.name, b.found)
		}
	}
}
