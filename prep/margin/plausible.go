package margin

import (
	"math"

	"selvage/internal/num"
	"selvage/prep"
)

// Bounds of what can be a prepared tooth.
const (
	// leansOutAll is the median taper of the walls, radians, under which what is seen is
	// no preparation: 4° of undercut on more than half of the way round. A tooth that was
	// not cut stands so below its height of contour, at 10° to 25°; of a preparation at
	// most one side does, and a tilt of the axis adds as much on one side as it takes off
	// the other.
	leansOutAll = -4 * math.Pi / 180
	// leastSize and mostSize bound the outline of the line as shares of the tooth's usual
	// width; sizes vary by a fifth between people, and the line runs at the neck, which on
	// a lower incisor is three fifths of the crown.
	leastSize = 0.45
	mostSize  = 1.35
	// leastOutline is the outline, mm, of the smallest tooth that is asked for by name, a
	// lower incisor; half of it is a fragment of a preparation.
	leastOutline = 3.0
	// mostUnclear is the share of the line that may be unclear where the walls do not agree
	// on one direction either: tissue over the line leaves the walls as they are, and a
	// preparation without one of its walls still has most of its line.
	mostUnclear = 0.5
)

// Implausible says why what was traced cannot be a finish line round a prepared tooth, or
// nothing. usual is the usual width of the tooth in mm, the mean of its two, or 0 where the
// tooth is not known; agree tells whether the walls agree on one direction.
//
// A scan that shows another tooth in the preparation's place, or half of it, still gives
// profiles, walls and a closed path; the path and all that rests on it would be a
// confident statement about something else.
func Implausible(m *prep.Margin, usual float64, agree bool) string {
	var taper []float64
	for i := range m.Walls {
		if w := &m.Walls[i]; w.Found() {
			taper = append(taper, w.Taper())
		}
	}
	if len(taper) > 0 && num.Median(taper) < leansOutAll {
		return "what stands there leans out all round: a tooth that was not cut, or not the prepared one"
	}
	unclear := 0
	for i := range m.Points {
		if m.Points[i].State == prep.Unclear {
			unclear++
		}
	}
	if !agree && float64(unclear) > mostUnclear*float64(len(m.Points)) {
		return "neither walls nor a finish line of a preparation stand out"
	}
	across := 2 * math.Sqrt(math.Abs(outline(m))/math.Pi)
	least, most := leastOutline, math.Inf(1)
	if usual > 0 {
		least, most = leastSize*usual, mostSize*usual
	}
	switch {
	case across < least:
		return "the line that was traced is too small to run round a prepared tooth"
	case across > most:
		return "the line that was traced is too large to run round this tooth"
	}
	return ""
}

// outline is the area, mm², within the line as it is seen along the axis; negative where it
// winds the wrong way.
func outline(m *prep.Margin) float64 {
	g := m.Fan.Prep.Frame()
	n := len(m.Points)
	var a float64
	for i := range m.Points {
		p, q := g.Point(m.Points[i].At), g.Point(m.Points[(i+1)%n].At)
		a += (p.X*q.Y - p.Y*q.X) / 2
	}
	return a
}
