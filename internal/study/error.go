package study

import (
	"math"
	"slices"
)

// Errors sums up measured minus true over many cases, in the measure's unit.
type Errors struct {
	N           int     `json:"n"`            // cases in which it was measured
	Missing     int     `json:"not_measured"` // cases in which it was not, though the truth has a value
	Bias        float64 `json:"bias"`         // mean of measured - true
	RMS         float64 `json:"rms"`          // root of the mean square
	P95         float64 `json:"p95"`          // 95th percentile of |measured - true|
	Largest     float64 `json:"largest"`      // largest |measured - true|
	MedianU     float64 `json:"median_u"`     // median of the stated uncertainty
	Held        Rate    `json:"held"`         // how often |measured - true| <= U
	LargestCase int     `json:"largest_case"` // the number of the case with the largest error
}

// sample is one measured value beside its truth.
type sample struct {
	caseNo   int
	measured float64
	truth    float64
	u        float64
}

// sumUp reduces samples in the order given; missing counts those without a
// value. The 95th percentile is the smallest error that at least 95 % of the
// samples do not exceed (nearest rank), a value that did occur.
func sumUp(samples []sample, missing int) Errors {
	e := Errors{N: len(samples), Missing: missing, Held: NewRate(0, 0)}
	if len(samples) == 0 {
		return e
	}
	abs := make([]float64, len(samples))
	us := make([]float64, len(samples))
	sum, sum2, held := 0.0, 0.0, 0
	for i, s := range samples {
		d := s.measured - s.truth
		sum += d
		sum2 += d * d
		abs[i] = math.Abs(d)
		us[i] = s.u
		if abs[i] <= s.u {
			held++
		}
		if abs[i] >= e.Largest {
			e.Largest, e.LargestCase = abs[i], s.caseNo
		}
	}
	n := float64(len(samples))
	e.Bias, e.RMS = sum/n, math.Sqrt(sum2/n)
	slices.Sort(abs)
	slices.Sort(us)
	e.P95 = abs[max(0, int(math.Ceil(0.95*n))-1)]
	e.MedianU = us[(len(us)-1)/2]
	e.Held = NewRate(held, len(samples))
	return e
}
