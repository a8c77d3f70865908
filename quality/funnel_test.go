package quality

import (
	"fmt"
	"math"
	"math/big"
	"testing"
)

// exact is the binomial distribution function in rational numbers, for 0 to n successes of
// probability num/den.
func exact(num, den int64, n int) []float64 {
	out := make([]float64, n+1)
	sum := new(big.Rat)
	pn := new(big.Int).Exp(big.NewInt(den), big.NewInt(int64(n)), nil)
	for k := range out {
		c := new(big.Int).Binomial(int64(n), int64(k))
		c.Mul(c, new(big.Int).Exp(big.NewInt(num), big.NewInt(int64(k)), nil))
		c.Mul(c, new(big.Int).Exp(big.NewInt(den-num), big.NewInt(int64(n-k)), nil))
		sum.Add(sum, new(big.Rat).SetFrac(c, pn))
		out[k], _ = sum.Float64()
	}
	return out
}

// TestFunnelAgainstExactSums holds the limits against the same definition in rational
// numbers, without a logarithm.
func TestFunnelAgainstExactSums(t *testing.T) {
	for _, n := range []int{1, 7, 20, 100} {
		for _, num := range []int64{1, 38, 250, 500, 900} {
			cdf := exact(num, 1000, n)
			for _, level := range []float64{Inner, Outer} {
				got := Funnel(float64(num)/1000, n, level)
				for side, q := range []float64{(1 - level) / 2, (1 + level) / 2} {
					before, r := 0.0, 0
					f := 0.0
					for ; r <= n; r++ {
						f = cdf[r]
						if f >= q {
							break
						}
						before = f
					}
					want := math.Max(0, (float64(r)-(f-q)/(f-before))/float64(n))
					if have := []float64{got.Low, got.High}[side]; math.Abs(have-want) > 1e-9 {
						t.Errorf("n = %d, p = %.3f, q = %.4f: %.9f, want %.9f", n, float64(num)/1000, q, have, want)
					}
				}
			}
		}
	}
}

// TestFunnelLaws checks that limits hold the common share, grow narrower with the group,
// mirror when successes and failures change places, and near the normal approximation for
// large groups.
func TestFunnelLaws(t *testing.T) {
	for _, p := range []float64{0.04, 0.3, 0.5, 0.87} {
		for _, n := range []int{10, 40, 160, 640, 2560} {
			in, out := Funnel(p, n, Inner), Funnel(p, n, Outer)
			if in.Low > p || in.High < p || out.Low > in.Low || out.High < in.High {
				t.Errorf("p = %g, n = %d: %v in %v", p, n, in, out)
			}
			if wide := Funnel(p, n/2, Outer); wide.High-wide.Low < out.High-out.Low {
				t.Errorf("p = %g: wider at %d than at %d", p, n, n/2)
			}
			if n >= 640 && math.Abs(in.High-p-z95*math.Sqrt(p*(1-p)/float64(n))) > 1.5/float64(n) {
				t.Errorf("p = %g, n = %d: %g is far from the normal limit", p, n, in.High)
			}
		}
	}
	for share, want := range map[float64]int{0.1: -1, 0.2: 0, 0.3: 0, 0.9: 1} {
		if got := (Limits{0.2, 0.5}).Outside(share); got != want {
			t.Errorf("%g: %d, want %d", share, got, want)
		}
	}
	for _, p := range []float64{0, 1} {
		if l := Funnel(p, 20, Inner); l.Low != p || l.High != p {
			t.Errorf("where all end alike: %s", fmt.Sprint(l))
		}
	}
}
