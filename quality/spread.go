package quality

import (
	"math"
	"slices"
)

// Spread is the middle of a list of durations or counts, in their own unit.
type Spread struct {
	Of        int     `json:"of"`
	Median    float64 `json:"median"`
	Low, High float64 // between which the median of all lies, 95 % or more
	Known     bool    // that there are enough for the interval: six or more
}

// NewSpread returns the median with the interval that rests on order alone: the median of
// what was drawn from lies between the d-th smallest and the d-th largest with probability
// 1 - 2·F(d-1), F the binomial distribution function of n and 1/2, and d is the largest for
// which that is 95 % or more ([Conover1999], section 3.2). Under six values no d is. Values
// that are no numbers are left out.
func NewSpread(values []float64) Spread {
	v := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	slices.Sort(v)
	n := len(v)
	s := Spread{Of: n}
	if n == 0 {
		return s
	}
	s.Median = (v[(n-1)/2] + v[n/2]) / 2
	d, f := 0, 0.0
	for d < n/2 {
		if f += mass(0.5, n, d); 2*f > 1-Inner {
			break
		}
		d++
	}
	if d > 0 {
		s.Low, s.High, s.Known = v[d-1], v[n-d], true
	}
	return s
}
