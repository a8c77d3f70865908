package solid_test

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/phantom/solid"
	"selvage/r3"
)

// whole is a scene of one field that is a true distance.
type whole solid.Field

func (w whole) At(p r3.Vec) solid.Sample { return w(p) }

func (w whole) Near(c r3.Vec, radius float64) (solid.Scene, bool) {
	return w, math.Abs(w(c).D) <= radius
}

func sphere(c r3.Vec, r float64) solid.Field {
	return func(p r3.Vec) solid.Sample {
		d := p.Sub(c)
		return solid.Sample{D: d.Norm() - r, N: d.UnitOr(r3.V(0, 0, 1))}
	}
}

func plane(n r3.Vec, h float64) solid.Field {
	return func(p r3.Vec) solid.Sample { return solid.Sample{D: p.Dot(n) - h, N: n} }
}

// checkManifold fails if the mesh is not closed, or open edges are not allowed.
func checkManifold(t *testing.T, m *mesh.Mesh, closed bool) {
	t.Helper()
	topo := mesh.NewTopology(m)
	if topo.NonManifold != 0 {
		t.Errorf("%d non-manifold elements", topo.NonManifold)
	}
	if n := len(topo.Loops()); closed && n != 0 {
		t.Errorf("%d boundary loops on a closed surface", n)
	}
}

func TestContourOfSphere(t *testing.T) {
	for _, coarse := range []float64{0.1, 0.25} {
		c := r3.V(0.3, -0.2, 0.1)
		f := sphere(c, 3)
		l := solid.Lattice{Center: r3.V(2, 0, 0), Fine: 0.1, Coarse: coarse, Radius: 1.5, Ramp: 1}
		m := solid.Contour(whole(f), l, r3.BoxOf(r3.V(-4, -4, -4), r3.V(4, 4, 4)))
		checkManifold(t, m, true)
		for _, p := range m.Pos {
			if d := f(p).D; math.Abs(d) > 1e-7 {
				t.Fatalf("coarse %v: a vertex is %v mm off the sphere", coarse, d)
			}
		}
		// The chords of spacing h lie up to h²/8r inside: volume short by under 3h²/8r².
		want := 4 * math.Pi / 3 * 27
		if v := m.SignedVolume(); v > want || v < want*(1-3*coarse*coarse/8/9) {
			t.Errorf("coarse %v: volume %v, want just under %v", coarse, v, want)
		}
	}
}
