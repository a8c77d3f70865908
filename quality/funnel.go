package quality

import "math"

// The levels of a funnel's limits: about two and three standard deviations, as
// [Spiegelhalter2005] has them.
const (
	Inner = 0.95
	Outer = 0.998
)

// Limits are between which shares of groups of n differ from a common share by chance.
type Limits struct{ Low, High float64 }

// Funnel returns the exact limits of the share of successes in groups of n where every one
// succeeds with probability p: two-sided at a level such as [Inner]. With F the binomial
// distribution function and r the least integer with F(r) >= q, the limit at the tail q is
// interpolated between the steps,
//
//	(r - (F(r) - q) / (F(r) - F(r-1))) / n,
//
// with q = (1-level)/2 and (1+level)/2 ([Spiegelhalter2005], appendix A.1.1; the formula
// is from memory), and lies within 0 to 1. n must be above 0.
func Funnel(p float64, n int, level float64) Limits {
	return Limits{Low: tail(p, n, (1-level)/2), High: tail(p, n, (1+level)/2)}
}

// tail is the interpolated quantile of the share.
func tail(p float64, n int, q float64) float64 {
	switch {
	case p <= 0:
		return 0
	case p >= 1:
		return 1
	}
	below := 0.0
	for r := 0; r <= n; r++ {
		f := below + mass(p, n, r)
		if f >= q || r == n {
			share := (float64(r) - (f-q)/(f-below)) / float64(n)
			return min(max(share, 0), 1)
		}
		below = f
	}
	return 1
}

// mass is the binomial probability of r successes in n, by logarithms of the gamma
// function: its terms overflow long before n is a thousand.
func mass(p float64, n, r int) float64 {
	lg := func(k int) float64 { v, _ := math.Lgamma(float64(k + 1)); return v }
	return math.Exp(lg(n) - lg(r) - lg(n-r) + float64(r)*math.Log(p) + float64(n-r)*math.Log1p(-p))
}

// Outside tells on which side of limits a share lies: -1 below, 1 above, 0 within.
func (l Limits) Outside(share float64) int {
	switch {
	case share < l.Low:
		return -1
	case share > l.High:
		return 1
	}
	return 0
}
