package occlusion

import (
	"fmt"
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// quadrant is an arch along x with teeth of growing width, its buccal side at y > 0
// and its lingual side steeper.
func quadrant(phase, aside, size float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		t := 2*math.Pi*x/(8*size) + 0.8*math.Sin(x/6) + phase
		w := (y - aside) / (size * (3.5 + 0.4*math.Cos(t) + 0.15*math.Sin(2*t+0.7)))
		if y < aside {
			w *= 1.4
		}
		return 5*size*math.Exp(-w*w*w*w) + 0.5*math.Cos(t+0.2*y)*math.Exp(-w*w)
	}
}

// closure is a pair of arches with the teeth closed, and the record of their buccal
// sides, each scanned for itself.
func closure(step, sigma float64) (working, opposing, record Scan) {
	low, high := quadrant(0, 0, 1), quadrant(2.2, 1, 1.15)
	upper := func(x, y float64) float64 { return 11.8 - high(x, y) }
	w := field(0, 0, 18, step, func(x, y float64) float64 { return inside(y, -7, 7, low(x, y)) })
	o := under(field(0.03, 0.02, 18, step, func(x, y float64) float64 { return inside(y, -7, 7, upper(x, y)) }))
	buccal := func(x float64) bool { return math.Abs(x-2) < 12 }
	r := join(
		field(0.01, 0.05, 18, step, func(x, y float64) float64 {
			if !buccal(x) {
				return math.NaN()
			}
			return inside(y, 1.5, 6.5, low(x, y))
		}),
		under(field(0.04, 0.01, 18, step, func(x, y float64) float64 {
			if !buccal(x) {
				return math.NaN()
			}
			return inside(y, 2.5, 6.5, upper(x, y))
		})),
	)
	return scan(noisy(w, sigma, 1)), scan(noisy(o, sigma, 2)), scan(noisy(r, sigma, 3))
}

func inside(y, lo, hi, z float64) float64 {
	if y < lo || y > hi {
		return math.NaN()
	}
	return z
}

// slip is a small motion about the middle of the arches.
func slip(dx, dy, dz, tilt float64) r3.Rigid {
	r := r3.Rotation(r3.V(1, 1, 0.3).UnitOr(up), tilt)
	c := r3.V(0, 0, 5)
	return r3.Rigid{R: r, T: c.Add(r3.V(dx, dy, dz)).Sub(r.Apply(c))}
}

func TestRecordFindsTheSlip(t *testing.T) {
	w, o, rec := closure(0.15, 0.01)
	at := r3.V(4, 0, 5)
	for _, s := range []r3.Rigid{
		r3.Still(), slip(0.1, -0.05, 0.08, 0.001), slip(0.3, 0.2, -0.15, 0.004), slip(-0.6, 0.5, 0.4, 0.015),
	} {
		filed := scan(o.Mesh.Moved(s))
		want := s.Inverse().Point(at).Sub(at)
		t.Run(fmt.Sprintf("slip=%.2f", want.Norm()), func(t *testing.T) {
			r := Judge(Input{Working: w, Opposing: filed, Record: &rec, Up: up, Tooth: at, Radius: 4})
			if !r.Shift.Measured() {
				t.Fatal(r.Shift.Why)
			}
			got := r.Implied.Point(at).Sub(at)
			t.Logf("shift %.4f ± %.4f (error %.4f), tilt %.3f°, residual %.1f µm", r.Shift.V, r.Shift.U, got.Dist(want), r.Tilt.V, r.Residual.V)
			if got.Dist(want) > 0.02 || got.Dist(want) > r.Shift.U {
				t.Errorf("motion at the tooth %v, want %v; U %.4f", got, want, r.Shift.U)
			}
			if tilt := s.Angle() * 180 / math.Pi; math.Abs(r.Tilt.V-tilt) > r.Tilt.U {
				t.Errorf("tilt %.3f°, want %.3f ± %.3f", r.Tilt.V, tilt, r.Tilt.U)
			}
			if math.Abs(r.Lift.V-want.Z) > r.Lift.U {
				t.Errorf("lift %.4f, want %.4f", r.Lift.V, want.Z)
			}
			// Noise of 10 µm on both surfaces along the normal: 14 µm.
			if r.Residual.V < 8 || r.Residual.V > 20 {
				t.Errorf("residual %.1f µm of two scans with 10 µm of noise", r.Residual.V)
			}
		})
	}
}

// A record of one arch alone, or of nothing, must not pass.
func TestRecordOfOneArch(t *testing.T) {
	w, o, rec := closure(0.2, 0.01)
	onlyLow, _, _ := mesh.Submesh(rec.Mesh, func(f mesh.FaceID) bool { return rec.Mesh.AreaVector(f).Z > 0 })
	for name, m := range map[string]*mesh.Mesh{"one arch": onlyLow, "empty": {}} {
		r := Judge(Input{Working: w, Opposing: o, Record: &Scan{Mesh: m, Tree: scan(m).Tree}, Up: up, Radius: 4})
		if r.Shift.Measured() || r.Shift.Why == "" {
			t.Errorf("%s: shift %+v", name, r.Shift)
		}
	}
}

// Scans that share no frame: the record lies elsewhere, and then the opposing arch
// does too.
func TestRecordInItsOwnFrame(t *testing.T) {
	w, o, rec := closure(0.2, 0.01)
	at := r3.V(4, 0, 5)
	far := scan(rec.Mesh.Moved(odd))
	away := r3.Rigid{R: r3.Rotation(r3.V(3, -1, 2).UnitOr(up), 2.5), T: r3.V(-70, 20, 5)}
	for _, g := range []r3.Rigid{r3.Still(), away} {
		r := Judge(Input{Working: w, Opposing: scan(o.Mesh.Moved(g)), Record: &far, Up: up, Tooth: at, Radius: 4})
		if !r.Shift.Measured() {
			t.Fatal(r.Shift.Why)
		}
		if off := r.Implied.After(g).Point(at).Dist(at); off > 0.02 || off > r.Shift.U {
			t.Errorf("the opposing arch is brought back %.4f mm off", off)
		}
	}
}

// Two arches and a record of about 400 000 triangles each.
func BenchmarkJudge(b *testing.B) {
	w, o, rec := closure(0.07, 0.01)
	w.Spacing, o.Spacing = 0.07, 0.07
	in := Input{
		Working: w, Opposing: o, Record: &rec, Up: up, Tooth: r3.V(4, 0, 5), Radius: 5,
		Neighbours: []Neighbour{{Side: Mesial, Centre: r3.V(-4, 0, 5)}, {Side: Distal, Centre: r3.V(12, 0, 5)}},
	}
	b.ReportMetric(float64(len(w.Mesh.Tri)), "triangles")
	for b.Loop() {
		Judge(in)
	}
}
