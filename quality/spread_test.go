package quality

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestSpreadRanks holds the ranks against the tables of the sign test's interval for the
// median, 95 % or more: with n of 10 the 2nd and the 9th value, and so on. The numbers are
// from memory of such a table; TestSpreadCovers does not rest on them.
func TestSpreadRanks(t *testing.T) {
	for n, lowest := range map[int]float64{6: 1, 8: 1, 9: 2, 10: 2, 12: 3, 15: 4, 20: 6, 25: 8, 30: 10} {
		v := make([]float64, n)
		for i := range v {
			v[(i*7)%n] = float64(i + 1)
		}
		if gcd(7, n) != 1 {
			for i := range v {
				v[i] = float64(n - i)
			}
		}
		s := NewSpread(v)
		if !s.Known || s.Low != lowest || s.High != float64(n)+1-lowest || s.Median != float64(n+1)/2 {
			t.Errorf("n = %d: %+v, want from %g to %g", n, s, lowest, float64(n)+1-lowest)
		}
	}
	for n := range 6 {
		if s := NewSpread(make([]float64, n)); s.Known || s.Of != n {
			t.Errorf("of %d values the middle is known: %+v", n, s)
		}
	}
	if s := NewSpread([]float64{3, math.NaN(), 1}); s.Of != 2 || s.Median != 2 {
		t.Errorf("a value that is none counts: %+v", s)
	}
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// TestSpreadCovers draws from a lopsided distribution whose median is known and counts how
// often the interval holds it.
func TestSpreadCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for _, n := range []int{6, 11, 40} {
		held := 0
		const draws = 3000
		for range draws {
			v := make([]float64, n)
			for i := range v {
				v[i] = rng.ExpFloat64()
			}
			if s := NewSpread(v); s.Low <= math.Ln2 && math.Ln2 <= s.High {
				held++
			}
		}
		if share := float64(held) / draws; share < 0.94 {
			t.Errorf("n = %d: held in %.3f of the draws, want 0.95 or more", n, share)
		}
	}
}
