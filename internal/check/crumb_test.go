package check

import (
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/r3"
)

// TestCrumbsAreLeftOut: a loose speck, small and of few faces, is no surface that anything is
// measured on. An island of some size, and a small piece that is finely sampled, are.
func TestCrumbsAreLeftOut(t *testing.T) {
	arch := meshtest.Plate(100, 100, 0.1, nil)
	for _, c := range []struct {
		name   string
		pieces []*mesh.Mesh
		crumbs int
	}{
		{"one piece", nil, 0},
		{"a speck of 2.6 mm²", []*mesh.Mesh{meshtest.Plate(8, 8, 0.2, nil)}, 1},
		{"an island of 5.8 mm²", []*mesh.Mesh{meshtest.Plate(8, 8, 0.3, nil)}, 0},
		{"2.3 mm² of 450 faces", []*mesh.Mesh{meshtest.Plate(15, 15, 0.1, nil)}, 0},
		{"two specks and an island", []*mesh.Mesh{meshtest.Plate(1, 1, 1, nil), meshtest.Plate(8, 8, 0.3, nil), meshtest.Plate(1, 1, 0.5, nil)}, 2},
	} {
		m := &mesh.Mesh{Pos: append([]r3.Vec(nil), arch.Pos...), Tri: append([][3]mesh.VertexID(nil), arch.Tri...)}
		faces := len(arch.Tri)
		for i, p := range c.pieces {
			base := mesh.VertexID(len(m.Pos))
			for _, q := range p.Pos {
				m.Pos = append(m.Pos, q.Add(r3.V(0, 0, float64(i+1))))
			}
			for _, f := range p.Tri {
				m.Tri = append(m.Tri, [3]mesh.VertexID{f[0] + base, f[1] + base, f[2] + base})
			}
			if p.Area() >= crumbArea || len(p.Tri) > 200 {
				faces += len(p.Tri)
			}
		}
		s := &Scan{}
		got, topo := s.withoutCrumbs(m)
		if s.Crumbs != c.crumbs || s.Pieces != 1+len(c.pieces) || s.Vertices != len(m.Pos) {
			t.Errorf("%s: %d crumbs of %d pieces with %d vertices, want %d of %d with %d", c.name, s.Crumbs, s.Pieces, s.Vertices, c.crumbs, 1+len(c.pieces), len(m.Pos))
		}
		if _, n := topo.Components(); len(got.Tri) != faces || n != 1+len(c.pieces)-c.crumbs {
			t.Errorf("%s: %d faces in %d pieces are left, want %d", c.name, len(got.Tri), n, faces)
		}
	}
}
