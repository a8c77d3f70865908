package mouth

import (
	"math"

	"selvage/r3"
)

// Beta returns the depth of the arch at x from the midline,
//
//	Y = 3.0314·D·(x/W + ½)^0.8·(½ - x/W)^0.8,
//
// D the depth at the midline and W the width at the ends, both mm; 0 beyond them.
// Braun, Hnat, Fender, Legan, Angle Orthod 1998;68:29, from memory (trade.md §7.3).
func Beta(x, depth, width float64) float64 {
	a, b := x/width+0.5, 0.5-x/width
	if a <= 0 || b <= 0 {
		return 0
	}
	return 3.0314 * depth * math.Pow(a, 0.8) * math.Pow(b, 0.8)
}

// Curve is the arch's line in the canonical frame, by arc length from the midline:
// the beta function's curve to its end at half its width, then straight back.
type Curve struct {
	step float64
	pts  []r3.Vec // one every step
}

// curveStep is the spacing of the table, mm; chords of it leave the curve by less
// than 1 µm.
const curveStep = 0.1

// NewCurve returns the curve of the given depth and width.
func NewCurve(depth, width float64) Curve {
	c := Curve{step: curveStep, pts: []r3.Vec{{Y: -depth}}}
	const fine = 20000 // steps of the integration along x; denser towards the end
	prev, s, next := c.pts[0], 0.0, curveStep
	for i := 1; i <= fine; i++ {
		x := width / 2 * math.Sin(math.Pi/2*float64(i)/fine)
		p := r3.V(x, -Beta(x, depth, width), 0)
		d := p.Dist(prev)
		for next <= s+d {
			c.pts = append(c.pts, prev.Lerp(p, (next-s)/d))
			next += curveStep
		}
		s, prev = s+d, p
	}
	return c
}

// At returns the point at arc length s from the midline and the unit tangent,
// which leads away from the midline to the left. Negative s is the other side.
func (c *Curve) At(s float64) (p, tangent r3.Vec) {
	if s < 0 {
		p, t := c.At(-s)
		return r3.V(-p.X, p.Y, 0), r3.V(t.X, -t.Y, 0)
	}
	x := s / c.step
	i := int(x)
	if last := len(c.pts) - 1; i >= last {
		back := r3.V(0, 1, 0)
		return c.pts[last].AddScaled(s-float64(last)*c.step, back), back
	}
	t := x - float64(i)
	a, b := c.pts[i], c.pts[i+1]
	lo, hi := c.pts[max(i-1, 0)], c.pts[min(i+2, len(c.pts)-1)]
	if i == 0 {
		lo = r3.V(-b.X, b.Y, 0) // the curve is even
	}
	ta, tb := b.Sub(lo), hi.Sub(a)
	return a.Lerp(b, t), ta.Lerp(tb, t).UnitOr(r3.V(1, 0, 0))
}

// Reach returns the arc length from the midline to where the curve goes straight.
func (c *Curve) Reach() float64 { return float64(len(c.pts)-1) * c.step }

// behind is how far beyond the end of the curve the straight part counts, mm.
const behind = 20

// Nearest returns the arc length of the point of the curve nearest to p in plan,
// and the distance towards the outside of the arch.
func (c *Curve) Nearest(p r3.Vec) (s, outwards float64) {
	reach := c.Reach() + behind
	q := r3.V(math.Abs(p.X), p.Y, 0)
	best := math.Inf(1)
	const stride = 20 // of the table: 2 mm
	for i := 0; i < len(c.pts); i += stride {
		if d := c.pts[i].Dist2(q); d < best {
			best, s = d, float64(i)*c.step
		}
	}
	for range 8 { // Newton on the tangent; the curve is smooth
		a, t := c.At(s)
		next := math.Max(0, math.Min(reach, s+q.Sub(a).Dot(t)))
		if math.Abs(next-s) < 1e-3 {
			break
		}
		s = next
	}
	a, t := c.At(s)
	outwards = q.Sub(a).Dot(r3.V(t.Y, -t.X, 0))
	if p.X < 0 {
		s = -s
	}
	return s, outwards
}
