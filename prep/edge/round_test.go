package edge

import (
	"math"
	"testing"
)

// TestGradientIsThatOfTheResidual holds every derivative against central differences, on
// the arc and on both flanks.
func TestGradientIsThatOfTheResidual(t *testing.T) {
	const h = 1e-6
	f := round{cx: 0.02, cy: 0.11, a: 0.7, b: 0.5, r: 0.3, ka: 0.2, kb: -0.3, sx: 0.05, sy: -0.1, tx: 0.2, ty: 0.1}
	at, g := f.curve(), f.slopes()
	parts := map[string]int{}
	for x := -0.9; x <= 0.9; x += 0.05 {
		for _, z := range []float64{-0.3, 0, 0.2} {
			q := point{x, -0.4 * math.Abs(x), z}
			var row [roundUnknowns]float64
			if d := at.gradient(q, g, &row); d != at.residual(q) {
				t.Fatalf("residual %v at %v, want %v", d, q, at.residual(q))
			}
			switch {
			case row[5] != 0:
				parts["a"]++
			case row[6] != 0:
				parts["b"]++
			default:
				parts["arc"]++
			}
			for i := range row {
				p, n := f.params(), f.params()
				p[i] += h
				n[i] -= h
				fp, fn := roundOf(p), roundOf(n)
				cp, cn := fp.curve(), fn.curve()
				if want := (cp.residual(q) - cn.residual(q)) / (2 * h); math.Abs(row[i]-want) > 1e-6 {
					t.Errorf("derivative %d at %v: %.8f, want %.8f", i, q, row[i], want)
				}
			}
		}
	}
	if len(parts) != 3 {
		t.Errorf("points lay on %v alone", parts)
	}
}
