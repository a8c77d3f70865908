package wall

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
)

// names are the chairside words of the quarters.
var names = [4]string{"mesial", "buccal", "distal", "lingual"}

// String returns the surface's name.
func (q Quarter) String() string { return names[q] }

// heights measures, at every azimuth, the distance along the axis from the margin
// to where the profile stands at 45° to the axis at the occlusal line angle. A
// quarter's height is the median over its 90°; the tooth's is the least of the
// four.
//
// A wall without an occlusal line angle has no height: on a front tooth the lingual
// wall runs into the fossa, which may lie within 45° of the axis up to the incisal edge.
// The tooth's height is then the least of the other sides. A wall that is not to be seen
// is another matter: it might be the least one.
func heights(m *prep.Margin, r *Result) {
	b := m.Fan.Prep.BuccalAzimuth()
	middle := [4]float64{0, b, math.Pi, b + math.Pi}
	r.HeightLeast = measure.Not("no wall has an occlusal line angle")
	hidden := ""
	for q := range r.Height {
		h, seen := height(m, middle[q], Quarter(q))
		r.Height[q] = h
		switch {
		case h.Measured():
			if !r.HeightLeast.Measured() || h.V < r.HeightLeast.V {
				r.HeightLeast, r.HeightLeastAt = h, Quarter(q)
			}
		case !seen:
			hidden = h.Why
		}
	}
	if hidden != "" {
		r.HeightLeast = measure.Not(hidden)
	}
}

// hiddenU is by how much, in mm, the median of a quarter might be another if half of it,
// which is not seen, were.
const hiddenU = 0.2

// height returns the height of one quarter; seen is false where too little of its wall
// or margin is there to say whether it has one.
func height(m *prep.Margin, middle float64, q Quarter) (v measure.Value, seen bool) {
	n := len(m.Walls)
	c := index(m, middle)
	reach := n / 8
	g := m.Fan.Prep.Frame()
	var h []float64
	walls := 0
	for d := -reach; d < reach; d++ {
		i := (c + d + n) % n
		w := &m.Walls[i]
		pt := &m.Points[i]
		if !w.Found() || !pt.Traced {
			continue
		}
		walls++
		if w.LineAngle < 0 {
			continue
		}
		h = append(h, m.Fan.Profiles[i].Z[w.LineAngle]-g.Point(pt.At).Z)
	}
	switch {
	case walls < reach:
		return measure.Not("the " + q.String() + " wall or its margin is not to be seen"), false
	case len(h) < reach:
		return measure.Not("the " + q.String() + " wall has no occlusal line angle: it runs into the face above it"), true
	}
	// The margin's own error, the noise, and a fifth of an edge for the place where the
	// heading passes 45°; the spread of the quarter itself is shape, not error. A part of
	// the quarter that is not seen might move the median. Where some profiles have no line
	// angle, the border between those that have and those that have not is uncertain by as
	// many.
	p := m.Fan.Prep
	u := 2 * math.Sqrt(p.Noise*p.Noise+traced*traced+0.04*p.Spacing*p.Spacing)
	u = math.Hypot(u, hiddenU*float64(2*reach-walls)/float64(2*reach))
	slices.Sort(h)
	none := walls - len(h)
	lo, hi := h[max((len(h)-none)/2, 0)], h[min((len(h)+none)/2, len(h)-1)]
	u = math.Hypot(u, hi-lo)
	return measure.Of(num.Median(h), u, measure.MM).At(place(m, c)), true
}
