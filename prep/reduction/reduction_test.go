package reduction

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/bvh"
	"selvage/curve"
	"selvage/mesh"
	"selvage/r3"
)

var up = r3.V(0, 0, 1)

// field returns the surface z = f(x, y) over |x| ≤ w, |y| ≤ h, outside up, with
// noise along z. Where f is NaN there is no surface.
func field(w, h, step, sigma float64, seed uint64, f func(x, y float64) float64) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 9))
	m := &mesh.Mesh{}
	nx, ny := int(2*w/step)+1, int(2*h/step)+1
	id := make([]mesh.VertexID, nx*ny)
	for k := range id {
		x, y := -w+0.013+float64(k%nx)*step, -h+0.007+float64(k/nx)*step
		id[k] = mesh.None
		if z := f(x, y); !math.IsNaN(z) {
			id[k] = mesh.VertexID(len(m.Pos))
			m.Pos = append(m.Pos, r3.V(x, y, z+sigma*rng.NormFloat64()))
		}
	}
	for k := range id {
		if k%nx == nx-1 || k/nx == ny-1 {
			continue
		}
		a, b, c, d := id[k], id[k+1], id[k+nx], id[k+nx+1]
		if a >= 0 && b >= 0 && c >= 0 && d >= 0 {
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{b, d, c})
		}
	}
	return m
}

// stump is a round preparation: margin of radius 5 at z = 0, a wall that leans by
// one in four, a table of radius 4 at z = 4.
func stump(x, y float64) float64 {
	switch rho := math.Hypot(x, y); {
	case rho > 5:
		return -4 * (rho - 5)
	case rho > 4:
		return 4 * (5 - rho)
	default:
		return 4
	}
}

func margin() curve.Polyline {
	c := curve.Polyline{Closed: true}
	for i := range 360 {
		s, co := math.Sincos(2 * math.Pi * float64(i) / 360)
		c.Pts = append(c.Pts, r3.V(5*co, 5*s, 0))
	}
	return c
}

// whole is the tooth before: the wall stood wall mm farther out along its normal,
// and the occlusal surface at top(x, y).
func whole(wall float64, top func(x, y float64) float64) func(x, y float64) float64 {
	out := wall * math.Sqrt(17) // along z, of a wall of slope 4
	return func(x, y float64) float64 {
		return math.Min(top(x, y), 4*(5-math.Hypot(x, y))+out)
	}
}

func measured(prep, before *mesh.Mesh, g r3.Rigid) Result {
	return Measure(Input{
		Prep: prep, Margin: margin(), Axis: up, Before: bvh.Build(before.Moved(g.Inverse())), WorkingFromBefore: g,
		Holding: r3.V(1, 0, 0), Scan: "working", Options: Options{RegisterU: 0.02},
	})
}

var odd = r3.Rigid{R: r3.Rotation(r3.V(1, 2, -3).UnitOr(up), 0.9), T: r3.V(12, -40, 7)}

// sag is what faceting a ring of 4 mm radius at 0.1 mm costs, mm, on a wall where the
// grid's edges are up to 0.4 mm long, and the rounding of table and wall by the fit.
const sag = 0.01

func TestReduction(t *testing.T) {
	prep := field(7, 7, 0.1, 0, 1, stump)
	for _, g := range []r3.Rigid{r3.Still(), odd} {
		before := field(8, 8, 0.1, 0, 2, whole(1.2, func(x, y float64) float64 { return 5.8 }))
		r := measured(prep, before, g)
		for name, v := range map[string]struct{ got, want float64 }{
			"OcclusalMin": {r.OcclusalMin.V, 1.8}, "OcclusalPoint": {r.OcclusalPoint.V, 1.8},
			"OcclusalAlong": {r.OcclusalAlong.V, 1.8}, "Functional": {r.Functional.V, 1.8},
			"AxialMin": {r.AxialMin.V, 1.2},
		} {
			if math.Abs(v.got-v.want) > sag {
				t.Errorf("%s = %.4f, want %.4f", name, v.got, v.want)
			}
		}
		if r.OcclusalSeen != 1 || r.AxialSeen != 1 {
			t.Errorf("seen %.2f and %.2f of a whole tooth", r.OcclusalSeen, r.AxialSeen)
		}
		if p := r.AxialMin.Place.At; p.Z < 1 || p.Z > 4 || math.Hypot(p.X, p.Y) < 3.9 {
			t.Errorf("the least of the walls lies at %v", p)
		}
	}
}

// An old surface that slopes: along the axis the reduction is 1.8 + 0.1x, on a flat
// table along the normal as well; its least patch lies at the rim.
func TestReductionSlopes(t *testing.T) {
	prep := field(7, 7, 0.1, 0, 1, stump)
	before := field(8, 8, 0.1, 0, 2, whole(1.2, func(x, y float64) float64 { return 5.8 + 0.1*x }))
	r := measured(prep, before, r3.Still())
	for _, v := range r.Vertices {
		p := prep.Pos[v.Vertex]
		if v.Zone == Occlusal && math.Hypot(p.X, p.Y) < 3.5 {
			if want := 1.8 + 0.1*p.X; math.Abs(v.Along-want) > 1e-9 || math.Abs(v.Normal-want) > 1e-9 {
				t.Fatalf("at %v: %.6f along, %.6f normal, want %.6f", p, v.Along, v.Normal, want)
			}
		}
	}
	// The segment of 0.5 mm² of a disc of radius 3.5, the table without its line
	// angle, is 0.26 mm high: x < -3.24.
	if want := 1.8 - 0.1*3.24; math.Abs(r.OcclusalMin.V-want) > 0.02 || r.OcclusalMin.Place.At.X > -3 {
		t.Errorf("OcclusalMin = %.4f at %v, want %.4f", r.OcclusalMin.V, r.OcclusalMin.Place.At, want)
	}
	if r.Functional.V < 1.75 {
		t.Errorf("Functional = %.4f, on the side that was cut deeper", r.Functional.V)
	}
}

func TestReductionProud(t *testing.T) {
	prep := field(7, 7, 0.1, 0, 1, stump)
	// A dip of the old surface below the table, 1.5 mm across: nothing was cut there.
	before := field(8, 8, 0.1, 0, 2, whole(1.2, func(x, y float64) float64 {
		if math.Hypot(x-1, y) < 0.75 {
			return 3.7
		}
		return 5.5
	}))
	r := measured(prep, before, r3.Still())
	if math.Abs(r.OcclusalMin.V+0.3) > sag {
		t.Errorf("OcclusalMin = %.3f, want -0.3", r.OcclusalMin.V)
	}
}

func TestReductionUnderNoise(t *testing.T) {
	const sigma = 0.01
	for seed := range uint64(6) {
		prep := field(7, 7, 0.1, sigma, seed, stump)
		before := field(8, 8, 0.1, sigma, seed+20, whole(1.2, func(x, y float64) float64 { return 5.8 + 0.02*x*x }))
		r := measured(prep, before, r3.Still())
		// 0.02x² stays under 0.001 for |x| < 0.22, half a square millimetre of the
		// table's middle line: the level of the patch is that of the vertex there.
		if math.Abs(r.OcclusalMin.V-1.8) > r.OcclusalMin.U {
			t.Errorf("seed %d: OcclusalMin %.4f ± %.4f, want 1.8", seed, r.OcclusalMin.V, r.OcclusalMin.U)
		}
		if math.Abs(r.AxialMin.V-1.2) > r.AxialMin.U {
			t.Errorf("seed %d: AxialMin %.4f ± %.4f, want 1.2", seed, r.AxialMin.V, r.AxialMin.U)
		}
	}
}

func TestReductionNotMeasured(t *testing.T) {
	prep := field(7, 7, 0.2, 0, 1, stump)
	for name, in := range map[string]Input{
		"no scan":   {Prep: prep, Margin: margin(), Axis: up, WorkingFromBefore: r3.Still()},
		"nowhere":   {Prep: prep, Margin: margin(), Axis: up, Before: bvh.Build(prep.Moved(r3.Rigid{R: r3.Identity(), T: r3.V(90, 0, 0)})), WorkingFromBefore: r3.Still()},
		"no ring":   {Prep: prep, Margin: curve.Polyline{Pts: []r3.Vec{{X: 1}, {X: 2}, {X: 4}}}, Axis: up, Before: bvh.Build(prep), WorkingFromBefore: r3.Still()},
		"elsewhere": {Prep: prep.Moved(r3.Rigid{R: r3.Identity(), T: r3.V(90, 0, 0)}), Margin: margin(), Axis: up, Before: bvh.Build(prep), WorkingFromBefore: r3.Still()},
	} {
		r := Measure(in)
		if r.OcclusalMin.Measured() || r.AxialMin.Measured() || r.OcclusalMin.Why == "" || r.AxialMin.Why == "" {
			t.Errorf("%s: %+v, %+v", name, r.OcclusalMin, r.AxialMin)
		}
	}
}
