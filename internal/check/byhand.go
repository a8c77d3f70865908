package check

import (
	"selvage/internal/casefile"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// byHand is what a person's points did to the traced line.
type byHand struct {
	set []bool // per margin point; nil where nothing was said
	far int    // points that lie too far from the line to belong to it
}

// placed returns a point of case.json in the frame that the scans are compared in.
// It is given in the frame of the file of the scan that the margin is traced on, which
// the case may name.
func (r *restoration) placed(p [3]float64) r3.Vec {
	v := r3.V(p[0], p[1], p[2])
	if r.source.Moved {
		return r.source.ToWorking.Point(v)
	}
	return v
}

// theirs reports whether the points of the case belong to the scan that the margin
// was traced on.
func (r *restoration) theirs() bool {
	return r.order.Margin.Scan == "" || r.order.Margin.Scan == r.source.Role
}

// holdByHand moves the traced line to what a person pinned or drew.
func (r *restoration) holdByHand() {
	if r.margin == nil || !r.theirs() {
		return
	}
	var h margin.Hand
	for _, p := range r.order.Margin.Pins {
		h.Pins = append(h.Pins, r.placed(p))
	}
	for _, line := range r.order.Margin.Drawn {
		var l []r3.Vec
		for _, p := range line {
			l = append(l, r.placed(p))
		}
		h.Drawn = append(h.Drawn, l)
	}
	if !h.Empty() {
		r.hand.set, r.hand.far = margin.Hold(r.margin, h)
	}
}

// besideTry is how near to a stretch, mm, an earlier try was at the same one.
const besideTry = 1.0

// tries counts the earlier scans in which a stretch was doubtful.
func (r *restoration) tries(s prep.Stretch) int {
	if !r.theirs() {
		return 0
	}
	m := r.margin
	count := 0
	for _, t := range r.order.Margin.Tries {
		at := r.placed(t.At)
		for k, n := s.From, len(m.Points); ; k = (k + 1) % n {
			if m.Points[k].At.Dist(at) < besideTry {
				count += t.N
				break
			}
			if k == s.To {
				break
			}
		}
	}
	return count
}

// handReport adds what a person said to the margin of the report.
func (r *restoration) handReport(out *casefile.Margin) {
	out.AcceptedBy = r.order.Margin.AcceptedBy
	out.PinsLeftOut = r.hand.far
	for i, set := range r.hand.set {
		if set {
			out.ByHandMM += r.margin.Segment(i)
		}
	}
	if !r.theirs() {
		out.PinsLeftOut = len(r.order.Margin.Pins) + len(r.order.Margin.Drawn)
	}
}
