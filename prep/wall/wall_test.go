package wall_test

import (
	"fmt"
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/axis"
	"selvage/prep/margin"
	"selvage/prep/undercut"
	"selvage/prep/wall"
	"selvage/r3"
)

const deg = math.Pi / 180

// trace cuts a stump out, finds its axis and traces its margin about it, from a
// provisional axis and centre that are both wrong.
func trace(t *testing.T, m *mesh.Mesh, noise float64) (*prep.Margin, axis.Result) {
	t.Helper()
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0.3, -0.2, 2), r3.V(0.08, -0.05, 1).UnitOr(r3.Vec{}), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Noise, p.Spacing, p.Scan = noise, 0.1, "working"
	var a axis.Result
	var mg *prep.Margin
	for range 3 {
		fan, ok := prep.Cut(p)
		if !ok {
			t.Fatal("axis meets no surface")
		}
		if mg, ok = margin.Detect(fan, margin.Options{}); !ok {
			t.Fatal("no wall")
		}
		a = axis.Find(mg)
		if !a.OK {
			t.Fatal(a.Why)
		}
		p = p.WithAxis(a.Axis, mg.Centroid())
	}
	return mg, a
}

// Axis, convergence, heights and resistance of stumps of revolution whose truth is
// the profile itself.
func TestStump(t *testing.T) {
	for _, noise := range []float64{0, 0.010} {
		for _, tap := range []float64{3, 6, 12} {
			t.Run(fmt.Sprintf("taper=%g/noise=%g", tap, noise), func(t *testing.T) {
				s := meshtest.DefaultStump()
				s.Taper = tap * deg
				m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 11, meshtest.Round), noise, 5)
				mg, a := trace(t, m, noise)
				if e := a.Axis.Angle(r3.V(0, 0, 1)) / deg; e > 0.3 {
					t.Errorf("axis is off by %.3f° (u %.3f°), want <= 0.3°", e, a.U/deg)
				}
				r := wall.Measure(mg)
				t.Logf("axis off %.3f° u %.3f; MD %.2f±%.2f BL %.2f±%.2f mean %.2f±%.2f; h %.3f; res %.3f±%.3f",
					a.Axis.Angle(r3.V(0, 0, 1))/deg, a.U/deg, r.Mesiodistal.V, r.Mesiodistal.U, r.Buccolingual.V, r.Buccolingual.U, r.Mean.V, r.Mean.U, r.HeightLeast.V, r.Resistance.V, r.Resistance.U)
				for _, c := range []float64{r.Mesiodistal.V, r.Buccolingual.V, r.Diagonal[0].V, r.Diagonal[1].V, r.Mean.V} {
					if math.Abs(c-2*tap) > 0.5 {
						t.Errorf("convergence %.2f°, want %.2f ± 0.5°", c, 2*tap)
					}
				}
				// 45° on the line angle's circle: below the plane by r(1 - cos 45°).
				_, zm := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
				h := s.Height - s.LineAngle*(1-math.Sqrt2/2) - zm
				if math.Abs(r.HeightLeast.V-h) > 0.03 {
					t.Errorf("height %.3f, want %.3f ± 0.03", r.HeightLeast.V, h)
				}
				if u := undercut.Measure(mg, undercut.Options{}); u.Depth.V != 0 {
					t.Errorf("undercut %.3f mm invented", u.Depth.V)
				}
				f := margin.Describe(mg)
				t.Logf("finish %s width %.3f median %.3f share %v", f.Kind, f.WidthLeast.V, f.WidthMedian.V, f.Share)
			})
		}
	}
}

// trade.md §1.3 and §12 rows 1-8 (derived there; Parker 2004 for the terms).
func TestLimitingTaper(t *testing.T) {
	if got, _ := wall.HalfWallLimit(9, 3.5); math.Abs(got/deg-11.443) > 0.001 {
		t.Errorf("half-wall limit B 9 H 3.5 = %.4f°, want 11.443°", got/deg)
	}
	if got, _ := wall.AnyPointLimit(9, 3.5); math.Abs(got/deg-25.529) > 0.001 {
		t.Errorf("any-point limit B 9 H 3.5 = %.4f°, want 25.529°", got/deg)
	}
	if got, _ := wall.HalfWallLimit(10, 4); math.Abs(2*got/deg-23.578) > 0.001 {
		t.Errorf("half-wall convergence H/B 0.4 = %.4f°, want 23.578°", 2*got/deg)
	}
	if _, ok := wall.AnyPointLimit(7, 4); ok {
		t.Error("any-point limit for 2H > B must be none")
	}
	for _, c := range []struct{ d, k, t, want float64 }{
		{9, 0, 10, 1.5391}, {10, -1, 0, 1.0}, {10, -1, 8, 2.3588}, {8, 0, 10, 1.3681}, {7, 0, 10, 1.1971},
	} {
		if got := wall.ResistsAbove(c.d, c.k, c.t*deg); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("resists above (D %g, k %g, T %g°) = %.4f, want %.4f", c.d, c.k, c.t, got, c.want)
		}
	}
}
