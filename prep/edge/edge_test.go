package edge_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/edge"
	"selvage/prep/margin"
	"selvage/r3"
)

// stump traces a prepared tooth of revolution whose line angle is a true arc.
func stump(t *testing.T, lineAngle, noise, spacing float64, seed uint64) *prep.Margin {
	t.Helper()
	s := meshtest.DefaultStump()
	s.LineAngle = lineAngle
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), spacing, 7, meshtest.Round), noise, seed)
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0.2, -0.1, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Noise, p.Spacing, p.Scan = noise, spacing, "working"
	fan, ok := prep.Cut(p)
	if !ok {
		t.Fatal("axis meets no surface")
	}
	got, ok := margin.Detect(fan, margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	return got
}

// An arc of known radius between a wall of 6° and a flat top, which turn by 84°. What
// the tool cuts too deep follows from radius and turn.
func TestRadiusOfLineAngle(t *testing.T) {
	turn := 84 * math.Pi / 180
	for _, noise := range []float64{0, 0.010} {
		for _, want := range []float64{0.10, 0.20, 0.40} {
			r := edge.Measure(stump(t, want, noise, 0.1, 3), edge.Options{})
			if !r.Radius.Measured() {
				t.Fatalf("radius %.2f, noise %g: not measured: %s", want, noise, r.Radius.Why)
			}
			if math.Abs(r.Radius.V-want) > r.Radius.U || r.Radius.U > 0.08 {
				t.Errorf("radius %.2f, noise %g: got %.3f ± %.3f", want, noise, r.Radius.V, r.Radius.U)
			}
			over := (0.5 - want) * (1 - math.Cos(turn/2))
			if math.Abs(r.Over.V-over) > r.Over.U {
				t.Errorf("radius %.2f, noise %g: tool cuts %.3f ± %.3f mm too deep, want %.3f", want, noise, r.Over.V, r.Over.U, over)
			}
		}
	}
}

// A round that the tool follows takes nothing off the crown, and no noise makes a sharp
// edge of it, one under 0.5 mm, nor of one hardly wider than the tool.
func TestWideRoundIsNoEdge(t *testing.T) {
	for seed := uint64(1); seed <= 8; seed++ {
		r := edge.Measure(stump(t, 0.75, 0.015, 0.1, seed), edge.Options{})
		if r.Radius.Measured() && (math.Abs(r.Radius.V-0.75) > r.Radius.U || r.Radius.V-r.Radius.U < 0.5) {
			t.Errorf("seed %d: a round of 0.75 mm was measured as %.3f ± %.3f", seed, r.Radius.V, r.Radius.U)
		}
		if r.Over.V > 0 {
			t.Errorf("seed %d: the tool cuts %.3f mm too deep beside a round wider than itself", seed, r.Over.V)
		}
		if seed < 3 || seed > 6 {
			continue
		}
		r = edge.Measure(stump(t, 0.6, 0.015, 0.1, seed), edge.Options{})
		if !r.Radius.Measured() || math.Abs(r.Radius.V-0.6) > r.Radius.U || r.Radius.U > 0.12 {
			t.Errorf("seed %d: a round of 0.6 mm was measured as %.3f ± %.3f", seed, r.Radius.V, r.Radius.U)
		}
	}
}

func TestCoarseOrNoisyScansSayNothing(t *testing.T) {
	for _, c := range []struct{ noise, spacing float64 }{{0.010, 0.25}, {0.050, 0.1}} {
		if r := edge.Measure(stump(t, 0.2, c.noise, c.spacing, 3), edge.Options{}); r.Radius.Measured() || r.Radius.Why == "" {
			t.Errorf("noise %g, spacing %g: %+v, want not measured and why", c.noise, c.spacing, r.Radius)
		}
	}
}
