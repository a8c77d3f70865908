package quality

import "math"

// z95 is the 97.5th percentile of the normal distribution, for two-sided 95 %
// intervals.
const z95 = 1.959963984540054

// Few is the number under which a share says nothing worth printing: the interval of
// nine cases is nowhere narrower than 0.30 (0 of 9: 0 to 0.30).
const Few = 10

// Many is the number from which groups are compared by funnel, and time by CUSUM.
const Many = 100

// Rate is a share of successes with its interval.
type Rate struct {
	Hits  int     `json:"hits"`
	Of    int     `json:"of"`
	Share float64 `json:"share"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// NewRate returns hits/of with the 95 % score interval of [Wilson1927],
//
//	(p + z²/2n ± z·sqrt(p(1-p)/n + z²/4n²)) / (1 + z²/n),
//
// which stays within 0 to 1 and keeps its coverage for few trials and for shares
// near 0 and 1 ([Newcombe1998], method 3). With no trials nothing is known: the
// share is 0 and the interval is 0 to 1.
func NewRate(hits, of int) Rate {
	if of <= 0 {
		return Rate{High: 1}
	}
	n := float64(of)
	p := float64(hits) / n
	z2n := z95 * z95 / n
	mid := (p + z2n/2) / (1 + z2n)
	half := z95 * math.Sqrt(p*(1-p)/n+z2n/(4*n)) / (1 + z2n)
	r := Rate{Hits: hits, Of: of, Share: p, Low: mid - half, High: mid + half}
	if hits == 0 { // exactly 0 and 1 but for rounding
		r.Low = 0
	}
	if hits == of {
		r.High = 1
	}
	return r
}

// Small reports whether the rate is counted from too few to say anything.
func (r Rate) Small() bool { return r.Of < Few }
