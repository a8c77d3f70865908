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

// TestContourDoesNotFold meshes a wavy shelf round a wall, as about a preparation with a
// rough margin: in the hollow between them the point of the edge of one cell often lies
// in the next. No face may turn its back.
func TestContourDoesNotFold(t *testing.T) {
	const wave, high, slope = 1.25, 0.28, 0.18
	f := solid.Field(func(p r3.Vec) solid.Sample {
		rho := math.Hypot(p.X, p.Y)
		out := r3.V(p.X, p.Y, 0).UnitOr(r3.V(1, 0, 0))
		wall := solid.Sample{D: rho - 3 + 0.2*p.Z, N: out.Add(r3.V(0, 0, 0.2))}
		s, c := math.Sincos(2 * math.Pi * 4 / wave * math.Atan2(p.Y, p.X))
		n := r3.V(0, 0, 1).AddScaled(-high*2*math.Pi*4/wave*c/(rho*rho+0.1), r3.V(-p.Y, p.X, 0)).AddScaled(slope, out)
		k := 1 / n.Norm()
		return solid.Unite(wall, solid.Sample{D: (p.Z - high*s + slope*(rho-4)) * k, N: n.Scale(k)}, 0.5)
	})
	l := solid.Lattice{Fine: 0.16, Coarse: 0.16}
	m := solid.Contour(whole(f), l, r3.BoxOf(r3.V(-5, -5, -2), r3.V(5, 5, 2)))
	folded := 0
	for i, tri := range m.Tri {
		mid := m.Pos[tri[0]].Add(m.Pos[tri[1]]).Add(m.Pos[tri[2]]).Scale(1.0 / 3)
		if m.AreaVector(mesh.FaceID(i)).UnitOr(r3.Vec{}).Dot(f(mid).N.UnitOr(r3.Vec{})) < 0 {
			folded++
		}
	}
	t.Logf("%d of %d faces are folded over", folded, len(m.Tri))
	if folded*2000 > len(m.Tri) {
		t.Errorf("%d of %d faces are folded over", folded, len(m.Tri))
	}
}
