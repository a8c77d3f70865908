package quality

import "math"

// CUSUM adds up the evidence that failures come more often than they should: the sum of
// log-likelihood ratios of odds that are Ratio times those of P0 against P0, held at 0 from
// below ([Page1954]; [Steiner2000] with one risk for all),
//
//	S_t = max(0, S_(t-1) + W_t),
//	W = log(R / (1 - p0 + R·p0)) after a failure, log(1 / (1 - p0 + R·p0)) after a success.
//
// It alarms where S passes H and begins anew.
type CUSUM struct {
	P0    float64 // probability of a failure while all is well, within 0 to 1
	Ratio float64 // of the odds that it watches for, above 1
	H     float64 // where it alarms, above 0
}

// Step returns the weight of one case.
func (c CUSUM) Step(failed bool) float64 {
	norm := math.Log(1 - c.P0 + c.Ratio*c.P0)
	if failed {
		return math.Log(c.Ratio) - norm
	}
	return -norm
}

// Point is the sum after one case, and whether it alarmed there.
type Point struct {
	S     float64
	Alarm bool
}

// Run returns the sum after each case.
func (c CUSUM) Run(failed []bool) []Point {
	out := make([]Point, len(failed))
	s := 0.0
	for i, f := range failed {
		s = max(0, s+c.Step(f))
		out[i] = Point{S: s, Alarm: s > c.H}
		if out[i].Alarm {
			s = 0
		}
	}
	return out
}

// cells is into how many steps RunLength divides 0 to H.
const cells = 800

// RunLength is after how many cases the sum alarms on average where each fails with
// probability p: by the Markov chain of [Brook1972] on a grid of H/800; a sum between two
// cells is shared by them such that its mean is kept. Its equations are solved by repeating
// them, since from each cell only four can be reached.
func (c CUSUM) RunLength(p float64) float64 {
	w := c.H / cells
	type to struct {
		cell  int
		share float64
	}
	next := make([][]to, cells+1)
	for i := range next {
		for _, move := range []struct{ step, prob float64 }{{c.Step(true), p}, {c.Step(false), 1 - p}} {
			s := max(0, float64(i)*w+move.step)
			if s > c.H {
				continue
			}
			lo := int(s / w)
			part := s/w - float64(lo)
			if lo >= cells {
				lo, part = cells, 0
			}
			next[i] = append(next[i], to{lo, move.prob * (1 - part)})
			if part > 0 {
				next[i] = append(next[i], to{lo + 1, move.prob * part})
			}
		}
	}
	return solve(func(i int, l []float64) float64 {
		sum, own := 1.0, 0.0
		for _, t := range next[i] {
			if t.cell == i {
				own += t.share
			} else {
				sum += t.share * l[t.cell]
			}
		}
		return sum / (1 - own)
	})
}

// solve repeats the equations until the first value stands.
func solve(equation func(i int, l []float64) float64) float64 {
	l := make([]float64, cells+1)
	const most, still = 200_000, 1e-10
	for range most {
		was := l[0]
		for i := range l {
			l[i] = equation(i, l)
		}
		if math.Abs(l[0]-was) < still*l[0] {
			break
		}
	}
	return l[0]
}

// Threshold returns a chart whose sum alarms once in about so many cases while all is well,
// by bisection to a thousandth of H.
func Threshold(p0, ratio, every float64) CUSUM {
	c := CUSUM{P0: p0, Ratio: ratio}
	lo, hi := 0.05, 12.0
	for hi-lo > 1e-3*hi {
		c.H = (lo + hi) / 2
		if c.RunLength(p0) < every {
			lo = c.H
		} else {
			hi = c.H
		}
	}
	c.H = hi
	return c
}
