package wall_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/axis"
	"selvage/prep/margin"
	"selvage/prep/wall"
	"selvage/r3"
)

// twoPlanes is a stump whose wall is cut in two planes: 5° up to a level that changes round
// the tooth, upper above it.
func twoPlanes(upper float64, split func(phi float64) float64) *mesh.Mesh {
	s := meshtest.DefaultStump()
	s.Taper, s.Height = 5*deg, 4.5
	foot, up := s.Radius-s.Shelf, s.Shelf*math.Tan(s.Slope)
	at := func(z float64) float64 { return foot - (z-up)*math.Tan(s.Taper) }
	return meshtest.Lathe(s.Knots(), 0.1, 11, func(rho, phi, z float64) r3.Vec {
		if over := z - split(phi); over > 0 {
			rho *= 1 - over*(math.Tan(upper)-math.Tan(s.Taper))/at(z)
		}
		return meshtest.Round(rho, phi, z)
	})
}

// TestWallInTwoPlanes: a wall cut in two planes has one direction, that of the lower one,
// which leads to the shelf, wherever the upper one begins.
func TestWallInTwoPlanes(t *testing.T) {
	for _, c := range []struct {
		name  string
		upper float64
		split func(phi float64) float64
	}{
		{"level", 20, func(float64) float64 { return 2.2 }},
		{"lower plane short", 15, func(float64) float64 { return 1.5 }},
		{"rising", 20, func(phi float64) float64 { return 2.2 + math.Cos(phi) }},
		{"rising and steep", 12, func(phi float64) float64 { return 2.5 + 0.8*math.Cos(phi) }},
		{"on one side", 25, func(phi float64) float64 { return 3.6 - 1.8*math.Max(math.Sin(phi), 0) }},
		{"waves", 18, func(phi float64) float64 { return 2.3 + 0.9*math.Sin(3*phi) }},
	} {
		m := meshtest.Rough(twoPlanes(c.upper*deg, c.split), 0.010, 5)
		p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0.1, -0.1, 2), r3.V(0.05, -0.03, 1).UnitOr(r3.Vec{}), r3.V(1, 0, 0), r3.V(0, 1, 0))
		p.Noise, p.Spacing, p.Scan = 0.010, 0.1, "working"
		var a axis.Result
		var mg *prep.Margin
		for range 3 {
			fan, _ := prep.Cut(p)
			mg, _ = margin.Detect(fan, margin.Options{})
			if a = axis.Find(mg); !a.OK {
				break
			}
			p = p.WithAxis(a.Axis, mg.Centroid())
		}
		if !a.OK {
			t.Errorf("%s: no axis: %s", c.name, a.Why)
			continue
		}
		r := wall.Measure(mg)
		off := a.Axis.Angle(r3.V(0, 0, 1))
		t.Logf("%s: axis off %.2f ± %.2f, MD %.2f ± %.2f, BL %.2f ± %.2f, mean %.2f ± %.2f, res %.3f", c.name, off/deg, a.U/deg, r.Mesiodistal.V, r.Mesiodistal.U,
			r.Buccolingual.V, r.Buccolingual.U, r.Mean.V, r.Mean.U, r.Resistance.V)
		if off > a.U || a.U > 0.5*deg {
			t.Errorf("%s: the axis is off by %.2f ± %.2f°", c.name, off/deg, a.U/deg)
		}
		if math.Abs(r.Mean.V-10) > r.Mean.U {
			t.Errorf("%s: mean convergence %.2f ± %.2f°, want 10", c.name, r.Mean.V, r.Mean.U)
		}
	}
}
