package curve

import (
	"math"

	"selvage/r3"
)

// reach is how many sigmas the gaussian runs to each side: the tail beyond is
// 3e-4 of its weight.
const reach = 3.6

// Smooth returns the curve whose every point is the gaussian mean of the curve
// about it, by arc length, with standard deviation sigma mm:
//
//	q(s) = ∫ p(s+x) g(x) dx / ∫ g(x) dx,   g(x) = exp(-x²/2σ²),
//
// each point standing for half of its two segments. An open curve's ends are kept
// and the window narrows towards them to stay symmetric, so the ends do not creep.
// A circle of radius R shrinks to R·exp(-σ²/2R²), by about σ²/2R. sigma ≤ 0 returns
// the curve as it is. Points should be denser than sigma. Cost: O(n·k) for k points
// within 3.6 sigma.
func (c Polyline) Smooth(sigma float64) Polyline {
	n := len(c.Pts)
	if n < 3 || !(sigma > 0) {
		return c
	}
	arc := c.Arc()
	total := arc[len(arc)-1]
	out := Polyline{Closed: c.Closed, Pts: make([]r3.Vec, n)}
	for i, p := range c.Pts {
		w := reach * sigma
		if !c.Closed {
			w = min(w, arc[i], total-arc[i])
		} else {
			w = min(w, total/2)
		}
		sum, weight := p.Scale(c.mass(arc, i)), c.mass(arc, i)
		for _, dir := range [2]int{1, -1} {
			for k := 1; k < n; k++ {
				j, x := c.step(arc, i, dir*k)
				if j < 0 || x > w {
					break
				}
				g := math.Exp(-0.5*(x/sigma)*(x/sigma)) * c.mass(arc, j)
				sum, weight = sum.AddScaled(g, c.Pts[j]), weight+g
			}
		}
		if weight > 0 {
			p = sum.Scale(1 / weight)
		}
		out.Pts[i] = p
	}
	if !c.Closed {
		out.Pts[0], out.Pts[n-1] = c.Pts[0], c.Pts[n-1]
	}
	return out
}

// step returns the point k places from point i and the arc length to it; j is -1
// beyond an open end.
func (c Polyline) step(arc []float64, i, k int) (j int, dist float64) {
	n := len(c.Pts)
	j = i + k
	if !c.Closed {
		if j < 0 || j >= n {
			return -1, 0
		}
		return j, math.Abs(arc[j] - arc[i])
	}
	total := arc[n]
	switch {
	case j >= n:
		return j - n, total - arc[i] + arc[j-n]
	case j < 0:
		return j + n, arc[i] + total - arc[j+n]
	}
	return j, math.Abs(arc[j] - arc[i])
}

// mass returns half the length of the segments at point i.
func (c Polyline) mass(arc []float64, i int) float64 {
	n := len(c.Pts)
	if !c.Closed {
		return (arc[min(i+1, n-1)] - arc[max(i-1, 0)]) / 2
	}
	m := arc[i+1] - arc[i]
	if i == 0 {
		return (m + arc[n] - arc[n-1]) / 2
	}
	return (m + arc[i] - arc[i-1]) / 2
}
