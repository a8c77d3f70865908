package curve

import (
	"math"

	"selvage/internal/num"
)

// Spread sums up the distances from one curve to another, in mm.
type Spread struct {
	Mean, P95, Max float64
	N              int // samples taken
}

// Deviation returns the distances from a to b: a is sampled at equal arc length, as
// near to step as possible, and each sample's distance to the nearest point of b is
// taken. It is one-sided: what b has beyond a does not count. ok is false where either
// curve has no points. Cost: O(n·m).
func Deviation(a, b Polyline, step float64) (Spread, bool) {
	r := a.Resample(step)
	if len(r.Pts) == 0 || len(b.Pts) == 0 {
		return Spread{}, false
	}
	d := make([]float64, len(r.Pts))
	for i, p := range r.Pts {
		at, _ := b.Nearest(p)
		d[i] = at.D
	}
	s := Spread{Mean: num.Mean(d), P95: num.Quantile(d, 0.95), N: len(d)}
	for _, v := range d {
		s.Max = math.Max(s.Max, v)
	}
	return s, true
}

// Hausdorff returns the largest distance from a point of either curve to the other,
// over samples about step apart and the curves' own points; the true value is larger by
// at most three quarters of step. ok is false where either curve has no points. Cost: O(n·m).
func Hausdorff(a, b Polyline, step float64) (float64, bool) {
	if len(a.Pts) == 0 || len(b.Pts) == 0 {
		return 0, false
	}
	return math.Max(farthest(a, b, step), farthest(b, a, step)), true
}

// farthest returns the largest distance from a to b over a's points and samples.
func farthest(a, b Polyline, step float64) float64 {
	d := 0.0
	for _, c := range [2]Polyline{a, a.Resample(step)} {
		for _, p := range c.Pts {
			at, _ := b.Nearest(p)
			d = math.Max(d, at.D)
		}
	}
	return d
}
