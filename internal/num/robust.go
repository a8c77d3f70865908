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
// data; NaNs in x count as lower than everything else. Cost: O(n) expected, one copy.
func Quantile(x []float64, q float64) float64 {
	s := slices.Clone(x)
	partition(s, q)
	return QuantileSorted(s, q)
}

// fewToSort is the number of values below which sorting them is as fast as choosing.
const fewToSort = 32

// partition puts the values that the q-quantile is made of at their places, in
// ascending order, and the lower and the higher ones on their sides, unsorted. Of half
// a million faces two values are wanted; choosing them takes a tenth of a sort.
func partition(s []float64, q float64) {
	if len(s) < fewToSort || slices.ContainsFunc(s, math.IsNaN) { // NaN has no place but by sorting
		slices.Sort(s)
		return
	}
	i := int(min(max(q, 0), 1) * float64(len(s)-1))
	choose(s, i)
	if i+1 < len(s) {
		next := i + 1
		for j := next; j < len(s); j++ {
			if s[j] < s[next] {
				next = j
			}
		}
		s[i+1], s[next] = s[next], s[i+1]
	}
}

// Nth returns the value that sorting x, which holds no NaN, would put at index k. It
// reorders x. Cost: O(n) expected.
func Nth(x []float64, k int) float64 {
	choose(x, k)
	return x[k]
}

// choose puts the value that sorting x would put at index k there, no greater ones
// before and no smaller ones after it: Hoare's selection, its pivot the median of the
// first, the middle and the last, so that sorted data is halved too.
func choose(x []float64, k int) {
	for lo, hi := 0, len(x)-1; lo < hi; {
		a, b, c := x[lo], x[lo+(hi-lo)/2], x[hi]
		p := max(min(a, b), min(max(a, b), c))
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
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
	partition(s, 0.5)
	median = QuantileSorted(s, 0.5)
	for i, v := range s {
		s[i] = math.Abs(v - median)
	}
	partition(s, 0.5)
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
