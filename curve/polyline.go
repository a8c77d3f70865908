package curve

import (
	"math"

	"selvage/r3"
)

// Polyline is a chain of straight segments. A closed one also joins its last point
// to its first, which is not repeated.
type Polyline struct {
	Pts    []r3.Vec
	Closed bool
}

// Segments returns the number of segments: one per point for a closed curve of two
// points or more, one fewer for an open one.
func (c Polyline) Segments() int {
	n := len(c.Pts)
	if n < 2 {
		return 0
	}
	if c.Closed {
		return n
	}
	return n - 1
}

// Segment returns the ends of segment i.
func (c Polyline) Segment(i int) (a, b r3.Vec) {
	return c.Pts[i], c.Pts[(i+1)%len(c.Pts)]
}

// Length returns the sum of the segments' lengths. Cost: O(n).
func (c Polyline) Length() float64 {
	s := 0.0
	for i := range c.Segments() {
		a, b := c.Segment(i)
		s += a.Dist(b)
	}
	return s
}

// Arc returns the arc length from the first point to each point, and for a closed
// curve one entry more, the whole length. Cost: O(n).
func (c Polyline) Arc() []float64 {
	if len(c.Pts) == 0 {
		return nil
	}
	s := make([]float64, 1, c.Segments()+1)
	for i := range c.Segments() {
		a, b := c.Segment(i)
		s = append(s, s[i]+a.Dist(b))
	}
	return s
}

// Place is a point on a curve.
type Place struct {
	Point   r3.Vec
	Segment int     // which segment
	T       float64 // where on it, 0 to 1
	S       float64 // arc length from the first point
	D       float64 // distance from the point asked about
}

// Nearest returns the place on the curve nearest to p; of equally near ones the one
// with the lowest segment. ok is false for a curve without points. Cost: O(n).
func (c Polyline) Nearest(p r3.Vec) (at Place, ok bool) {
	if len(c.Pts) == 0 {
		return Place{}, false
	}
	at = Place{Point: c.Pts[0], D: c.Pts[0].Dist(p)}
	s, best2 := 0.0, c.Pts[0].Dist2(p)
	for i := range c.Segments() {
		a, b := c.Segment(i)
		d := b.Sub(a)
		l2 := d.Norm2()
		t := 0.0
		if l2 > 0 {
			t = min(max(p.Sub(a).Dot(d)/l2, 0), 1)
		}
		q := a.AddScaled(t, d)
		l := math.Sqrt(l2)
		if d2 := q.Dist2(p); d2 < best2 {
			best2 = d2
			at = Place{Point: q, Segment: i, T: t, S: s + float64(t*l), D: math.Sqrt(d2)}
		}
		s += l
	}
	return at, true
}

// At returns the point at arc length s from the first point. A closed curve wraps
// round; an open one is held at its ends. ok is false for a curve without points.
// Cost: O(n).
func (c Polyline) At(s float64) (p r3.Vec, ok bool) {
	if len(c.Pts) == 0 {
		return r3.Vec{}, false
	}
	arc := c.Arc()
	return c.at(arc, c.wrap(s, arc[len(arc)-1])), true
}

// wrap brings s into [0, total]: round a closed curve, held at an open one's ends.
func (c Polyline) wrap(s, total float64) float64 {
	if c.Closed && total > 0 {
		if s = math.Mod(s, total); s < 0 {
			s += total
		}
		return s
	}
	return min(max(s, 0), total)
}

// at returns the point at arc length s, 0 ≤ s ≤ the last entry of arc.
func (c Polyline) at(arc []float64, s float64) r3.Vec {
	lo, hi := 0, len(arc)-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; arc[mid] <= s {
			lo = mid
		} else {
			hi = mid
		}
	}
	if hi <= lo || arc[hi] == arc[lo] {
		return c.Pts[lo%len(c.Pts)]
	}
	a, b := c.Segment(lo)
	return a.Lerp(b, (s-arc[lo])/(arc[hi]-arc[lo]))
}

// Resample returns the curve with points at equal arc length, as near to step apart
// as a whole number of steps allows. The first point is kept, and the last of an open
// curve; corners in between are cut by up to step/2·tan(half the turn). A curve
// without length, or step ≤ 0, is returned as it is. Cost: O(n + m).
func (c Polyline) Resample(step float64) Polyline {
	arc := c.Arc()
	if len(arc) < 2 || arc[len(arc)-1] == 0 || !(step > 0) {
		return c
	}
	total := arc[len(arc)-1]
	n := max(int(math.Round(total/step)), 1)
	if c.Closed {
		n = max(n, 3)
	}
	out := Polyline{Closed: c.Closed, Pts: make([]r3.Vec, 0, n+1)}
	for i := range n {
		out.Pts = append(out.Pts, c.at(arc, total*float64(i)/float64(n)))
	}
	if !c.Closed {
		out.Pts = append(out.Pts, c.Pts[len(c.Pts)-1])
	}
	return out
}
