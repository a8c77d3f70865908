package occlusion

import (
	"math"

	"selvage/measure"
	"selvage/r3"
)

// Worth returns the expanded uncertainty, mm, that a pose brings to what is measured in
// it: that of a bite record, 0.1 mm, and by how much the witnesses of [Judge] find the
// jaws off,
//
//	U² = 0.1² + d²,   d the largest of: the record's shift at the tooth, the crossing,
//	                  the opening beside it, the crossing of the tooth as it was before,
//
// each only where it is more than its own uncertainty. A crossing or a gap g on a facet
// that leans by α from the way of closing is one of g/cos α of that way. The bite is as
// open as the neighbour that is least so; front teeth (front) that stay apart while the
// jaws hold each other elsewhere open nothing.
func (r *Result) Worth(up r3.Vec, front bool) float64 {
	d := 0.0
	if v := r.Shift; v.Measured() && v.V > v.U {
		d = max(d, v.V)
	}
	if v := r.PenetrationMax; v.Measured() && v.V > v.U && v.V > ignoredDepth {
		d = max(d, closing(v, up))
	}
	// A scan from before that lies worse than a record, or is of another mouth, says nothing.
	if v := r.BeforeGap; v.Measured() && v.U <= recordU && -v.V > v.U && -v.V > ignoredDepth {
		d = max(d, closing(v, up)) // the jaws close further than they did in the bite from before
	}
	const elsewhere = 2
	if !front || !r.ContactCount.Measured() || r.ContactCount.V < elsewhere {
		d = max(d, r.opening(up))
	}
	return math.Hypot(recordU, d)
}

// opening is how far the jaws stand apart beside the tooth, mm; 0 where they touch.
func (r *Result) opening(up r3.Vec) float64 {
	least := measure.Value{}
	for _, b := range r.Beside {
		if g := b.Gap; g.Measured() && (!least.Measured() || g.V < least.V) {
			least = g
		}
	}
	if !least.Measured() {
		least = r.Gap
	}
	if !least.Measured() || least.V-least.U < 0 || least.V < contactBand {
		return 0
	}
	return closing(least, up)
}

// closing turns a distance between two surfaces into the way of closing that it is.
func closing(v measure.Value, up r3.Vec) float64 {
	lean := facing // the steepest contact that counts as one
	if v.Place != nil {
		lean = max(lean, math.Abs(v.Place.Normal.Dot(up)))
	}
	return math.Abs(v.V) / lean
}
