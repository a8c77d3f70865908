package check

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// row is a scan of five round teeth 8 mm apart and 6 mm high, those of the given numbers
// cut down by 1.6 mm, moved up by lift.
func row(lift float64, cut ...int) *Scan {
	const step = 0.5
	m := &mesh.Mesh{}
	nx, ny := 90, 34
	for j := range ny {
		for i := range nx {
			x, y := float64(i)*step-22, float64(j)*step-8
			z := 0.0
			for k := range 5 {
				h := 6.0
				for _, c := range cut {
					if c == k {
						h -= 1.6
					}
				}
				r := math.Hypot(x-8*float64(k-2), y)
				z = max(z, min(h, 3*(4-r)))
			}
			m.Pos = append(m.Pos, r3.V(x, y, z+lift))
		}
	}
	for j := range ny - 1 {
		for i := range nx - 1 {
			a := mesh.VertexID(j*nx + i)
			b, c, d := a+1, a+mesh.VertexID(nx), a+mesh.VertexID(nx)+1
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d}, [3]mesh.VertexID{a, d, c})
		}
	}
	s := &Scan{Mesh: m, Tree: bvh.Build(m)}
	s.Look.Arch.Occlusal = r3.V(0, 0, 1)
	return s
}

// What was cut since the scan from before tells where the prepared tooth stands, where it
// is one tooth and the two scans share a frame.
func TestCutAway(t *testing.T) {
	for _, c := range []struct {
		name            string
		before, working *Scan
		at              float64 // middle along the row; NaN: nothing is told
	}{
		{"second tooth", row(0), row(0, 1), -8},
		{"last tooth", row(0), row(0, 4), 16},
		{"nothing cut", row(0), row(0), math.NaN()},
		{"a whole row", &Scan{Mesh: row(0.25).Mesh, Tree: row(1.9).Tree}, row(0), math.NaN()},
		{"another frame", row(3), row(0, 1), math.NaN()},
		{"no scan from before", nil, row(0, 1), math.NaN()},
	} {
		got := cutAway(c.before, c.working)
		switch {
		case got == nil:
			if !math.IsNaN(c.at) {
				t.Errorf("%s: nothing was cut", c.name)
			}
		case math.IsNaN(c.at):
			t.Errorf("%s: cut at %v", c.name, got.Mesh.Box().Center())
		case math.Abs(got.Mesh.Box().Center().X-c.at) > 0.5:
			t.Errorf("%s: cut at %v, want %v", c.name, got.Mesh.Box().Center(), c.at)
		}
	}
}

// What stood there before was not prepared since, whatever its shape; where the scan from
// before lies in another frame nothing is known.
func TestUntouched(t *testing.T) {
	for _, c := range []struct {
		name            string
		before, working *Scan
		at              float64
		want            bool
	}{
		{"the cut tooth", row(0), row(0, 1), -8, false},
		{"the tooth beside it", row(0), row(0, 1), 0, true},
		{"another frame", row(3), row(0, 1), 0, false},
		{"no scan from before", nil, row(0, 1), 0, false},
	} {
		got := untouched(r3.V(c.at, 0, 6), &scanSet{before: c.before, working: c.working})
		if got != c.want {
			t.Errorf("%s: untouched %v, want %v", c.name, got, c.want)
		}
	}
}
