package solid_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/phantom/solid"
	"selvage/r3"
)

// TestEdgeIsACircle: between two planes that turn by θ the edge of Intersect is an
// arc about the point that lies r inside both, and its crest is where the two values
// are equal to r(cos θ/2 - 1).
func TestEdgeIsACircle(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for range 200 {
		turn := (0.15 + 0.75*rng.Float64()) * math.Pi
		r := 0.02 + 0.5*rng.Float64()
		na := r3.V(1, 0, 0)
		nb := r3.V(math.Cos(turn), math.Sin(turn), 0)
		a, b := plane(na, 0), plane(nb, 0)
		f := func(p r3.Vec) solid.Sample { return solid.Intersect(a(p), b(p), r) }
		mid := na.Add(nb).UnitOr(r3.Vec{})
		centre := mid.Scale(-r / math.Cos(turn/2))
		for _, share := range []float64{-0.49, -0.2, 0, 0.3, 0.49} {
			d := r3.Rotation(r3.V(0, 0, 1), share*turn).Apply(mid)
			p := centre.AddScaled(r, d)
			s := f(p)
			if math.Abs(s.D) > 1e-12*(1+1/r) {
				t.Fatalf("turn %v, r %v: the arc's point at %v has the value %v", turn, r, share, s.D)
			}
			if s.N.Angle(d) > 1e-7 {
				t.Errorf("turn %v, r %v: normal %v, want %v", turn, r, s.N, d)
			}
			if share == 0 {
				level := r * (math.Cos(turn/2) - 1)
				if math.Abs(a(p).D-level) > 1e-12 || math.Abs(b(p).D-level) > 1e-12 {
					t.Errorf("turn %v, r %v: crest at %v, %v, want %v", turn, r, a(p).D, b(p).D, level)
				}
			}
		}
		// Beyond the arc the planes themselves.
		for _, p := range []r3.Vec{r3.V(0, -3, 0), r3.V(0, 0, 0).AddScaled(-3, r3.V(-math.Sin(turn), math.Cos(turn), 0).Scale(-1))} {
			if got, want := f(p).D, math.Max(a(p).D, b(p).D); math.Abs(got-want) > 1e-12 {
				t.Errorf("turn %v, r %v: value %v away from the edge, want %v", turn, r, got, want)
			}
		}
	}
}

// TestUniteIsTheComplement: a fillet is an edge seen from the other side.
func TestUniteIsTheComplement(t *testing.T) {
	a, b := plane(r3.V(0, 0, 1), 0), plane(r3.V(1, 0, 0), 0)
	// In the corner between floor z=0 and wall x=0 the fillet of radius 1 passes through
	// the point at distance √2-1 from the corner, on the diagonal.
	d := (math.Sqrt2 - 1) / math.Sqrt2
	if s := solid.Unite(a(r3.V(d, 0, d)), b(r3.V(d, 0, d)), 1); math.Abs(s.D) > 1e-12 {
		t.Errorf("the fillet's middle has the value %v", s.D)
	}
}

// TestContourKeepsEdges: an edge is met by the mesh although it lies between grid
// points: the volume of a cube is right to the rounding of its corners.
func TestContourKeepsEdges(t *testing.T) {
	cube := func(p r3.Vec) solid.Sample {
		s := solid.Sample{D: math.Inf(-1)}
		for _, n := range []r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}} {
			if d := p.Dot(n) - 1; d > s.D {
				s = solid.Sample{D: d, N: n}
			}
		}
		return s
	}
	turn := r3.Rotation(r3.V(1, 2, 3).UnitOr(r3.Vec{}), 0.7)
	f := func(p r3.Vec) solid.Sample {
		s := cube(turn.T().Apply(p))
		s.N = turn.Apply(s.N)
		return s
	}
	l := solid.Lattice{Fine: 0.11, Coarse: 0.11}
	m := solid.Contour(whole(f), l, r3.BoxOf(r3.V(-2, -2, -2), r3.V(2, 2, 2)))
	checkManifold(t, m, true)
	if v := m.SignedVolume(); math.Abs(v-8) > 0.01 {
		t.Errorf("volume of a cube of side 2: %v", v)
	}
}
