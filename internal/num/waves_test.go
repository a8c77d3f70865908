package num

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// plainRobust is FitHarmonicRobust written down without tables, shared room and an early
// end.
func plainRobust(phi, f []float64, order int) (h Harmonic, left []float64) {
	misses := func(h Harmonic) []float64 {
		r := make([]float64, len(f))
		for i, p := range phi {
			r[i] = math.Abs(f[i] - h.At(p))
		}
		return r
	}
	var starts []Harmonic
	scale := math.Inf(1)
	for k := -1; k < 2*arcStarts; k++ {
		w := make([]float64, len(f))
		at, width := 2*math.Pi*float64(k%arcStarts)/arcStarts, [3]float64{0.6, 1.1, 0}[max(k, 0)/arcStarts]
		if k < 0 {
			at, width = 0, 0
		}
		width *= 2 * math.Pi / float64(3*max(order, 1))
		for i, p := range phi {
			w[i] = 1
			if turn := math.Mod(p-at, 2*math.Pi); turn >= 0 && turn < width || turn+2*math.Pi < width {
				w[i] = 0
			}
		}
		if h, ok := FitHarmonic(phi, f, w, order); ok {
			starts = append(starts, h)
			scale = min(scale, MADSigma*Median(misses(h)))
		}
	}
	least := math.Inf(1)
	for _, s := range starts {
		loss := 0.0
		for _, r := range misses(s) {
			u := min(r/max(TukeyCut*scale, math.SmallestNonzeroFloat64), 1)
			q := 1 - u*u
			loss += 1 - q*q*q
		}
		if loss < least {
			h, least = s, loss
		}
	}
	left = make([]float64, len(f))
	for range robustRounds {
		scale := MADSigma * Median(misses(h))
		for i, r := range misses(h) {
			left[i] = 0
			if scale > 0 {
				left[i] = Tukey(r / (TukeyCut * scale))
			} else if r == 0 {
				left[i] = 1
			}
		}
		next, ok := FitHarmonic(phi, f, left, order)
		if !ok {
			break
		}
		h = next
	}
	return h, left
}

// The robust fit is the same, bit by bit, as written down plainly: on noise, with a piece
// that is wrong, with a gap, and on values that lie on a curve exactly.
func TestRobustHarmonicAgainstPlain(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for trial := range 24 {
		order := trial % 5
		var phi, f []float64
		for i := range 200 {
			p := 2 * math.Pi * float64(i) / 200
			if trial%3 == 1 && i > 150 {
				continue
			}
			y := 5 + math.Sin(p) - 0.3*math.Cos(2*p)
			if trial%4 != 3 {
				y += 0.02 * rng.NormFloat64()
			} else {
				y = 5
			}
			if trial%2 == 0 && i > 40 && i < 52 {
				y += 1
			}
			phi, f = append(phi, p), append(f, y)
		}
		h, left, ok := FitHarmonicRobust(phi, f, order)
		want, wantLeft := plainRobust(phi, f, order)
		if !ok || !h.equal(want) || !slices.Equal(left, wantLeft) {
			t.Errorf("trial %d, order %d: %v, want %v", trial, order, h, want)
		}
	}
}
