package occlusion

import (
	"fmt"
	"math"
	"testing"

	"selvage/bvh"
	"selvage/curve"
	"selvage/mesh"
	"selvage/r3"
)

// sag is what faceting at 0.1 mm may take from a distance between surfaces of 2 mm
// radius and more, mm: s²/8R for each, and the fit's own error.
const sag = 0.003

func clear(prep *mesh.Mesh, margin curve.Polyline, opp *mesh.Mesh, o ClearanceOptions) ClearanceResult {
	return Clear(ClearanceInput{
		Prep: prep, Margin: margin, Axis: up, Opposing: bvh.Build(opp), Holding: r3.V(1, 0, 0),
		Scan: "preparation", Options: o,
	})
}

func TestClearanceUnderBall(t *testing.T) {
	const radius = 3.0
	prep, margin := die(0.1, flat)
	for _, gap := range []float64{1.5, 0.8, 0.1, -0.3} {
		t.Run(fmt.Sprintf("gap=%g", gap), func(t *testing.T) {
			h := gap + radius // height of the ball's centre over the table
			opp := ball(r3.V(0, 0, 4+h), radius, 0.9, 0.1)
			r := clear(prep, margin, opp, ClearanceOptions{})
			want := func(name string, got, want float64) {
				if math.Abs(got-want) > sag {
					t.Errorf("%s = %.4f, want %.4f ± %.3f", name, got, want, sag)
				}
			}
			// At distance ρ from the point below the centre the clearance is
			// √(ρ²+h²) - R; the patch of half a square millimetre ends at ρ² = 0.5/π.
			want("Min", r.Min.V, gap)
			want("PatchMin", r.PatchMin.V, math.Hypot(math.Sqrt(0.5/math.Pi), h)-radius)
			if d := r.Min.Place.At.Sub(r3.V(0, 0, 4)).Norm(); d > 0.2 {
				t.Errorf("Min lies %.2f mm from the point below the ball", d)
			}
			for _, v := range r.Vertices {
				p := prep.Pos[v.Vertex]
				c := p.Dist(r3.V(0, 0, 4+h)) - radius
				if p.Z > 3.99 && math.Hypot(p.X, p.Y) < 1 && math.Abs(v.Distance-c) > sag {
					t.Fatalf("distance at %v = %.4f, want %.4f", p, v.Distance, c)
				}
				if v.Along < v.Distance-1e-9 && v.Distance > 0 {
					t.Fatalf("distance along the axis %.4f at %v is shorter than the shortest %.4f", v.Along, p, v.Distance)
				}
			}
		})
	}
}

func TestClearanceBallOnBall(t *testing.T) {
	const r1, r2, gap = 6.0, 2.5, 0.9
	prep, margin := die(0.1, func(rho float64) float64 { return math.Sqrt(r1*r1-rho*rho) - r1 })
	// Beside the axis, so that the nearest points are not at vertices.
	c1 := r3.V(0, 0, 4-r1)
	dir := r3.V(0.25, -0.15, 1).UnitOr(up)
	opp := ball(c1.AddScaled(r1+r2+gap, dir), r2, 0.9, 0.1)
	r := clear(prep, margin, opp, ClearanceOptions{})
	if math.Abs(r.Min.V-gap) > sag {
		t.Errorf("Min = %.4f, want %.4f", r.Min.V, gap)
	}
	if d := r.Min.Place.At.Dist(c1.AddScaled(r1, dir)); d > 0.25 {
		t.Errorf("Min lies %.2f mm from where the balls are nearest", d)
	}
}

func TestClearanceUnderTiltedPlane(t *testing.T) {
	prep, margin := die(0.1, flat)
	const slope = 0.25
	opp := under(field(0, 0, 9, 0.1, func(x, y float64) float64 { return 6 + slope*x }))
	r := clear(prep, margin, opp, ClearanceOptions{})
	cos := 1 / math.Hypot(1, slope)
	// The least is at the rim of the table, x = -4, a corner which the fit rounds by
	// a tenth of its radius times the change of slope.
	if want := (2 - slope*4) * cos; math.Abs(r.Min.V-want) > 0.03 {
		t.Errorf("Min = %.4f, want %.4f ± 0.03", r.Min.V, want)
	}
	for _, v := range r.Vertices {
		p := prep.Pos[v.Vertex]
		along := 6 + slope*p.X - p.Z
		if along > 5 || v.Distance > 4.9 {
			continue
		}
		if math.Abs(v.Along-along) > 1e-9 || math.Abs(v.Distance-along*cos) > 1e-9 {
			t.Fatalf("at %v: %.6f along, %.6f shortest; want %.6f, %.6f", p, v.Along, v.Distance, along, along*cos)
		}
	}
	fn, nf, ce := r.Zones[Functional].PatchMin.V, r.Zones[NonFunctional].PatchMin.V, r.Zones[Central].PatchMin.V
	if !(nf < ce && ce < fn) {
		t.Errorf("zones under a plane that rises to the functional side: %.2f, %.2f, %.2f", nf, ce, fn)
	}
}

func TestClearanceMovesWithTheCase(t *testing.T) {
	prep, margin := die(0.17, flat)
	opp := ball(r3.V(0.7, -0.4, 8), 3, 0.9, 0.15)
	a := clear(prep, margin, opp, ClearanceOptions{})
	moved := curve.Polyline{Closed: true}
	for _, p := range margin.Pts {
		moved.Pts = append(moved.Pts, odd.Point(p))
	}
	b := Clear(ClearanceInput{
		Prep: prep.Moved(odd), Margin: moved, Axis: odd.Dir(up),
		Opposing: bvh.Build(opp.Moved(odd)), Holding: odd.Dir(r3.V(1, 0, 0)),
	})
	for name, v := range map[string][2]float64{
		"Min": {a.Min.V, b.Min.V}, "PatchMin": {a.PatchMin.V, b.PatchMin.V},
		"FunctionalMin": {a.FunctionalMin.V, b.FunctionalMin.V},
		"AxisPatchMin":  {a.AxisPatchMin.V, b.AxisPatchMin.V},
	} {
		if math.Abs(v[0]-v[1]) > 1e-6 {
			t.Errorf("%s = %.9f before, %.9f after moving everything", name, v[0], v[1])
		}
	}
}

func TestClearanceIgnoresASpikeAndACrumb(t *testing.T) {
	prep, margin := die(0.1, flat)
	opp := under(field(0, 0, 9, 0.1, func(x, y float64) float64 { return 6 }))
	spiked := &mesh.Mesh{Pos: append([]r3.Vec(nil), prep.Pos...), Tri: prep.Tri}
	for i, p := range spiked.Pos {
		if p.Sub(r3.V(1, 1, 4)).Norm() < 0.08 {
			spiked.Pos[i].Z += 0.7
		}
	}
	crumb := under(field(-1, 1, 0.3, 0.1, func(x, y float64) float64 { return 4.4 }))
	r := clear(spiked, margin, join(opp, crumb), ClearanceOptions{})
	if math.Abs(r.PatchMin.V-2) > sag {
		t.Errorf("PatchMin = %.3f, want 2: a spike or a crumb counts", r.PatchMin.V)
	}
}

func TestClearanceNotMeasured(t *testing.T) {
	prep, margin := die(0.2, flat)
	far := under(field(0, 0, 9, 0.2, func(x, y float64) float64 { return 12 }))
	r := clear(prep, margin, far, ClearanceOptions{})
	if r.Min.Measured() || r.PatchMin.Measured() || r.Min.Why == "" {
		t.Errorf("8 mm of room within a reach of 5: %+v", r.Min)
	}
	line := curve.Polyline{Pts: margin.Pts[:90]}
	if r := clear(prep, line, far, ClearanceOptions{}); r.Min.Measured() || r.Min.Why == "" {
		t.Errorf("with a quarter of a margin: %+v", r.Min)
	}
}

// An opposing scan that ends over half of the table must not turn points beyond its
// border to the inside, and says that they are seen from its edge.
func TestClearanceBesideTheBorder(t *testing.T) {
	prep, margin := die(0.1, flat)
	opp := under(field(6, 0, 6, 0.1, func(x, y float64) float64 { return 5.2 }))
	r := clear(prep, margin, opp, ClearanceOptions{})
	for _, v := range r.Vertices {
		if v.Distance < 0 {
			t.Fatalf("%.3f at %v: nothing crosses", v.Distance, prep.Pos[v.Vertex])
		}
		if p := prep.Pos[v.Vertex]; p.Z > 3.9 && math.Abs(p.X) > 0.2 && v.Edge != (p.X < 0) {
			t.Fatalf("edge = %v at %v", v.Edge, p)
		}
	}
	if math.Abs(r.PatchMin.V-1.2) > sag || r.NearEdge < 0.3 || r.NearEdge > 0.7 {
		t.Errorf("PatchMin = %.3f, NearEdge = %.2f", r.PatchMin.V, r.NearEdge)
	}
}

// With 10 µm of noise on both scans the bias and the scatter of the values are to
// stay well inside the 0.1 mm that the bite is worth.
func TestClearanceUnderNoise(t *testing.T) {
	const radius, gap, sigma = 3.0, 1.0, 0.01
	h := gap + radius
	prep, margin := die(0.1, flat)
	opp := ball(r3.V(0, 0, 4+h), radius, 0.9, 0.1)
	patch := math.Hypot(math.Sqrt(0.5/math.Pi), h) - radius
	const runs = 20
	var m, m2, p, p2 float64
	for seed := range uint64(runs) {
		r := clear(noisy(prep, sigma, seed), margin, noisy(opp, sigma, seed+100), ClearanceOptions{BiteU: -1})
		e, f := r.Min.V-gap, r.PatchMin.V-patch
		m, m2, p, p2 = m+e, m2+e*e, p+f, p2+f*f
		if math.Abs(e) > r.Min.U || math.Abs(f) > r.PatchMin.U {
			t.Errorf("seed %d: errors %.4f and %.4f beyond U = %.4f", seed, e, f, r.Min.U)
		}
	}
	t.Logf("σ = 10 µm: Min bias %.1f µm, RMS %.1f; PatchMin bias %.1f, RMS %.1f",
		1e3*m/runs, 1e3*math.Sqrt(m2/runs), 1e3*p/runs, 1e3*math.Sqrt(p2/runs))
	if math.Abs(m/runs) > 0.015 || math.Sqrt(p2/runs) > 0.012 {
		t.Errorf("bias of Min %.4f, RMS of PatchMin %.4f", m/runs, math.Sqrt(p2/runs))
	}
}

func BenchmarkClear(b *testing.B) {
	prep, margin := die(0.022, flat)
	opp := bvh.Build(under(field(0, 0, 15, 0.1, func(x, y float64) float64 { return 6 + 0.3*math.Sin(x)*math.Cos(y) })))
	in := ClearanceInput{Prep: prep, Margin: margin, Axis: up, Opposing: opp, Holding: r3.V(1, 0, 0)}
	b.ReportMetric(float64(len(prep.Pos)), "vertices")
	for b.Loop() {
		Clear(in)
	}
}
