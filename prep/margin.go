package prep

import (
	"math"

	"selvage/r3"
)

// MarginState says what is known of the finish line at one place.
type MarginState int

// The states of a margin point.
const (
	Readable    MarginState = iota // a convex edge stands out and root is seen below it
	NearEdge                       // readable, but the data ends within 0.3 mm of it
	Unclear                        // surface is there, but no edge stands out
	NotCaptured                    // the data ends at or before the line
)

// String returns the word of the report.
func (s MarginState) String() string {
	return [...]string{"readable", "near-edge", "unclear", "not-captured"}[s]
}

// MarginPoint is the finish line at one azimuth.
type MarginPoint struct {
	Azimuth    float64 // radians, in the frame of the preparation that was traced
	At         r3.Vec  // scan frame
	State      MarginState
	Confidence float64 // 0 to 1
	Turn       float64 // convex turn of the profile at the edge, radians
	Before     float64 // heading of the profile arriving at the edge, radians
	After      float64 // heading leaving it
	Sample     int     // sample of the profile; beyond its end where not captured
	// Traced tells that the line itself was read here, also where it counts as not captured
	// because the data ends too close to it: what is measured from the line inwards can be.
	Traced bool
	// AtLimit tells that the data ends about as far away as parts captured from not: the
	// error of the line and of its spacing decides, which it is.
	AtLimit bool
	// Merged tells that State, unclear or not captured, is that of the doubtful stretch about
	// the point, and the other was found here.
	Merged bool
}

// Own is the state that was found at the point itself.
func (p *MarginPoint) Own() MarginState {
	switch {
	case !p.Merged:
		return p.State
	case p.State == NotCaptured:
		return Unclear
	}
	return NotCaptured
}

// Margin is the traced finish line: one point per profile of the fan, in order of
// azimuth, closed.
type Margin struct {
	Points []MarginPoint
	Fan    *Fan
	Walls  []WallLine // one per profile
}

// Curve returns the points in the scan's frame.
func (m *Margin) Curve() []r3.Vec {
	c := make([]r3.Vec, len(m.Points))
	for i, p := range m.Points {
		c[i] = p.At
	}
	return c
}

// lengthStride is how many points apart the chords of Length are: 2 degrees, 0.17 mm
// at 5 mm. Point by point the noise of tracing would lengthen the line by a
// hundredth; the chord of a curve of radius 4 mm loses less than a tenthousandth.
const lengthStride = 4

// Length returns the length of the closed curve in mm.
func (m *Margin) Length() float64 {
	var l float64
	n := len(m.Points)
	for i := 0; i < n; i += lengthStride {
		l += m.Points[i].At.Dist(m.Points[min(i+lengthStride, n)%n].At)
	}
	return l
}

// Segment returns the length that point i stands for: half the way to each of
// its neighbours.
func (m *Margin) Segment(i int) float64 {
	n := len(m.Points)
	p := m.Points[i].At
	return (p.Dist(m.Points[(i+1)%n].At) + p.Dist(m.Points[(i+n-1)%n].At)) / 2
}

// Centroid returns the length-weighted mean of the curve. The length that a point stands
// for is taken over lengthStride points each way: from neighbour to neighbour it is mostly
// the noise of tracing, which weighs most where the points lie closest, so that a centre
// once off was drawn farther off, by 0.3 mm on a premolar.
func (m *Margin) Centroid() r3.Vec {
	var c r3.Vec
	var w float64
	n := len(m.Points)
	for i, p := range m.Points {
		l := m.Points[(i+lengthStride)%n].At.Dist(m.Points[(i+n-lengthStride%n)%n].At)
		c = c.AddScaled(l, p.At)
		w += l
	}
	if w == 0 {
		return c
	}
	return c.Scale(1 / w)
}

// Tilt returns, at point i, the angle between the direction outwards in the
// half-plane and the horizontal normal of the curve; a width across the margin
// is the width in the half-plane times its cosine.
func (m *Margin) Tilt(i int) float64 {
	n := len(m.Points)
	const reach = 4 // points each way: two degrees
	g := m.Fan.Prep.Frame()
	d := g.Dir(m.Points[(i+reach)%n].At.Sub(m.Points[(i+n-reach)%n].At))
	nu := math.Atan2(-d.X, d.Y)
	return turn(m.Points[i].Azimuth, nu)
}

// AtLimit returns the length of the points of a stretch that lie at the limit, or took
// their state from the rest of it: so much less of it may be in that state.
func (m *Margin) AtLimit(s Stretch) float64 {
	var l float64
	for k, n := s.From, len(m.Points); ; k = (k + 1) % n {
		if m.Points[k].AtLimit || m.Points[k].Merged {
			l += m.Segment(k)
		}
		if k == s.To {
			return l
		}
	}
}

// Stretch is a run of points of one state.
type Stretch struct {
	State    MarginState
	From, To int // indices of Points, inclusive; To < From where it passes the first point
	Length   float64
	Middle   int
}

// Stretches returns the runs of points that are unclear or not captured, in
// order of azimuth. Runs of one state that are less than join mm apart are one.
func (m *Margin) Stretches(state MarginState, join float64) []Stretch {
	n := len(m.Points)
	in := make([]bool, n)
	any, all := false, true
	for i, p := range m.Points {
		in[i] = p.State == state
		any = any || in[i]
		all = all && in[i]
	}
	if !any {
		return nil
	}
	if all {
		return []Stretch{{State: state, From: 0, To: n - 1, Length: m.Length(), Middle: n / 2}}
	}
	m.closeGaps(in, join)
	start := 0
	for in[start] {
		start++
		if start == n {
			return []Stretch{{State: state, From: 0, To: n - 1, Length: m.Length(), Middle: n / 2}}
		}
	}
	var out []Stretch
	for k := 0; k < n; k++ {
		i := (start + k) % n
		if !in[i] {
			continue
		}
		s := Stretch{State: state, From: i}
		c := 0
		for in[(start+k)%n] && k < n {
			s.To = (start + k) % n
			s.Length += m.Segment(s.To)
			k++
			c++
		}
		s.Middle = (s.From + c/2) % n
		out = append(out, s)
	}
	return out
}

// closeGaps fills runs of false shorter than join mm.
func (m *Margin) closeGaps(in []bool, join float64) {
	n := len(in)
	for i := range n {
		if !in[i] || in[(i+1)%n] {
			continue
		}
		var l float64
		k := 1
		for ; k < n && !in[(i+k)%n]; k++ {
			l += m.Segment((i + k) % n)
		}
		if l < join {
			for j := 1; j < k; j++ {
				in[(i+j)%n] = true
			}
		}
	}
}
