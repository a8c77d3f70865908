package reduction

import (
	"math"
	"testing"

	"selvage/r3"
)

// TestReductionAtTheEndOfTheOldSurface: where least was cut beside the end of the scan from
// before, the value hangs on which ray just met it; two scans that end a tenth of a
// millimetre apart agree within their uncertainties.
func TestReductionAtTheEndOfTheOldSurface(t *testing.T) {
	prep := field(7, 7, 0.1, 0, 1, stump)
	least := func(shown float64) Result {
		before := field(8, 8, 0.1, 0, 2, func(x, y float64) float64 {
			phi := math.Abs(math.Atan2(y, x))
			if phi > shown {
				return math.NaN()
			}
			return whole(2.2-1.6*phi, func(x, y float64) float64 { return 6 })(x, y)
		})
		return measured(prep, before, r3.Still())
	}
	a, b := least(0.70), least(0.675)
	d := math.Abs(a.AxialMin.V - b.AxialMin.V)
	t.Logf("%.3f ± %.3f and %.3f ± %.3f", a.AxialMin.V, a.AxialMin.U, b.AxialMin.V, b.AxialMin.U)
	if d < 0.025 {
		t.Fatalf("the two differ by %.3f mm: the test shows nothing", d)
	}
	if d > math.Hypot(a.AxialMin.U, b.AxialMin.U) {
		t.Errorf("the two differ by %.3f mm, which %.3f and %.3f do not hold", d, a.AxialMin.U, b.AxialMin.U)
	}
}
