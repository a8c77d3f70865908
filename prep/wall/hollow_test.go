package wall_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep/wall"
	"selvage/r3"
)

// TestHollowLeavesTheWall presses a hollow 0.3 mm deep over most of the height of one
// side: convergence, mean and resistance stay those of the wall round it (methods §6).
func TestHollowLeavesTheWall(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Taper = 8 * deg
	warp := func(rho, phi, z float64) r3.Vec {
		a := math.Remainder(phi-1.2, 2*math.Pi) * rho
		if r := math.Hypot(a/2.2, (z-2.1)/1.5); r < 1 && rho > 1 {
			rho -= 0.3 * (1 + math.Cos(math.Pi*r)) / 2
		}
		return meshtest.Round(rho, phi, z)
	}
	sound, _ := trace(t, meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 11, meshtest.Round), 0.01, 5), 0.01)
	hollow, a := trace(t, meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 11, warp), 0.01, 5), 0.01)
	if e := a.Axis.Angle(r3.V(0, 0, 1)) / deg; e > 0.4 {
		t.Errorf("axis is off by %.3f°", e)
	}
	want, got := wall.Measure(sound), wall.Measure(hollow)
	t.Logf("mean %.2f ± %.2f for %.2f, resistance %.3f ± %.3f for %.3f", got.Mean.V, got.Mean.U, want.Mean.V, got.Resistance.V, got.Resistance.U, want.Resistance.V)
	if math.Abs(got.Mean.V-16) > got.Mean.U || got.Mean.U > 1.5 {
		t.Errorf("mean convergence %.2f ± %.2f, want 16", got.Mean.V, got.Mean.U)
	}
	if d := math.Abs(got.Resistance.V - want.Resistance.V); d > 0.06 {
		t.Errorf("resistance %.3f, without the hollow %.3f", got.Resistance.V, want.Resistance.V)
	}
}
