package num_test

import (
	"math"
	"slices"
	"testing"

	"selvage/internal/num"
)

// TestQuantileIsThatOfSorted holds the quantile by choosing against that by sorting, to
// the bit: even and odd numbers, ties, data in order, infinities and NaN.
func TestQuantileIsThatOfSorted(t *testing.T) {
	r := rng(40)
	for i := range 400 {
		x := make([]float64, 1+r.IntN(300))
		for k := range x {
			switch i % 4 {
			case 0:
				x[k] = r.NormFloat64()
			case 1:
				x[k] = float64(r.IntN(4))
			case 2:
				x[k] = float64(k)
			default:
				x[k] = []float64{1, 2, math.Inf(1), math.Inf(-1), math.NaN()}[r.IntN(5)]
			}
		}
		s := slices.Clone(x)
		slices.Sort(s)
		for _, q := range []float64{0, 0.2, 0.3, 0.5, r.Float64(), 1} {
			got, want := num.Quantile(x, q), num.QuantileSorted(s, q)
			if got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Fatalf("seed %d: the %g-quantile of %d values is %v, sorted %v", *seedFlag, q, len(x), got, want)
			}
		}
	}
}

// TestSolve6IsCholesky holds the six written out against the general factor, to the bit.
func TestSolve6IsCholesky(t *testing.T) {
	r := rng(41)
	singular := 0
	for i := range 500 {
		var a [6][6]float64
		var b [6]float64
		for range 3 + r.IntN(12) { // fewer rows than unknowns are singular
			var row [6]float64
			for k := range row {
				row[k] = r.NormFloat64() * math.Pow(10, float64(k%3))
			}
			for j := range row {
				b[j] += row[j]
				for k := j; k < 6; k++ {
					a[j][k] += row[j] * row[k]
				}
			}
		}
		var m [36]float64
		for j := range a {
			copy(m[6*j:], a[j][:])
		}
		want := b
		wantOK := num.Cholesky(m[:], 6)
		got, ok := num.Solve6(a, b)
		if ok != wantOK {
			t.Fatalf("system %d: ok is %v, by the general factor %v", i, ok, wantOK)
		}
		if !ok {
			singular++
			continue
		}
		num.CholeskySolve(m[:], 6, want[:])
		if got != want {
			t.Fatalf("system %d: %v, by the general factor %v", i, got, want)
		}
	}
	if singular < 20 {
		t.Errorf("only %d of 500 systems were singular", singular)
	}
}
