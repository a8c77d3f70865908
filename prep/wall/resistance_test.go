package wall_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep/wall"
)

// A frustum with a shelf: along the wall straight opposite the fulcrum the closed
// two-dimensional form (trade.md §1.3, eq. 2, derived there) gives the height from
// which the wall resists; the opposite quarter as a whole resists no less than a
// wall turned by 45° and no more than the one opposite.
func TestResistanceOfFrustum(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Taper, s.Height, s.Internal, s.LineAngle = 10*deg, 3, 0.1, 0.1
	m := meshtest.Lathe(s.Knots(), 0.1, 11, meshtest.Round)
	mg, _ := trace(t, m, 0)
	got := wall.Measure(mg).Resistance
	foot := s.Radius - s.Shelf
	up := s.Shelf * math.Tan(s.Slope)
	h := s.Height - up
	opposite := 1 - wall.ResistsAbove(s.Radius+foot, up, s.Taper)/h
	// At azimuth ψ from straight opposite the fulcrum's distance along the wall's
	// normal is R·cos ψ + foot, and the lift still counts in full: the share rises.
	side := 1 - wall.ResistsAbove(s.Radius*math.Cos(math.Pi/4)+foot, up/math.Cos(math.Pi/4), s.Taper)/h
	lo, hi := min(opposite, side)-0.06, max(opposite, side)+0.06
	if got.V < lo || got.V > hi {
		t.Errorf("resistance %.3f, want %.3f to %.3f", got.V, lo, hi)
	}
	t.Logf("resistance %.3f ± %.3f, straight opposite %.3f, at 45° %.3f", got.V, got.U, opposite, side)
}
