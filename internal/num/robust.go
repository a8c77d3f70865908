package num

import (
	"math"
	"slices"
)

// MADSigma turns the median absolute deviation of gaussian data into its standard
// deviation: 1/Φ⁻¹(3/4).
const MADSigma = 1.482602218505602

// Quantile returns the q-quantile (0 ≤ q ≤ 1) of x, interpolated linearly between
// order statistics (the definition called type 7). x is left as it was. NaN for no
// data. Cost: O(n log n), one copy.
func Quantile(x []float64, q float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return QuantileSorted(s, q)
}

// QuantileSorted is [Quantile] for data in ascending order, without a copy.
func QuantileSorted(s []float64, q float64) float64 {
	if len(s) == 0 {
		return math.NaN()
	}
	at := min(max(q, 0), 1) * float64(len(s)-1)
	i := int(at)
	if i+1 >= len(s) {
		return s[len(s)-1]
	}
	if f := at - float64(i); f > 0 {
		return s[i] + float64(f*(s[i+1]-s[i]))
	}
	return s[i]
}

// Median returns the middle of x; NaN for no data.
func Median(x []float64) float64 { return Quantile(x, 0.5) }

// MAD returns the median of x and the median of the distances from it. Multiply the
// second by [MADSigma] for a robust standard deviation. NaN for no data.
func MAD(x []float64) (median, mad float64) {
	s := slices.Clone(x)
	slices.Sort(s)
	median = QuantileSorted(s, 0.5)
	for i, v := range s {
		s[i] = math.Abs(v - median)
	}
	slices.Sort(s)
	return median, QuantileSorted(s, 0.5)
}

// Mean returns the arithmetic mean; NaN for no data.
func Mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// RMS returns the root of the mean square; NaN for no data.
func RMS(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += float64(v * v)
	}
	return math.Sqrt(s / float64(len(x)))
}

// TukeyCut is where Tukey's biweight reaches zero, in standard deviations: 95 % as
// efficient as the mean on gaussian data.
const TukeyCut = 4.685

// Tukey returns Tukey's biweight (1-u²)² of a residual u in units of its cut; 0 beyond.
func Tukey(u float64) float64 {
	if !(math.Abs(u) < 1) { // NaN has no say
		return 0
	}
	w := 1 - u*u
	return w * w
}

// CircularMean returns the direction of the sum of unit vectors at the given angles in
// radians, -π to π, and the length of the sum as a share of their number: 1 where all
// agree, 0 where they cancel or there are none, and the direction means nothing.
func CircularMean(phi []float64) (mean, agreement float64) {
	x, y := 0.0, 0.0
	for _, p := range phi {
		s, c := math.Sincos(p)
		x, y = x+c, y+s
	}
	return math.Atan2(y, x), math.Hypot(x, y) / float64(max(len(phi), 1))
}
