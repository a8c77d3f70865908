package coverage

import (
	"math"
	"slices"

	"selvage/dentition"
	"selvage/r3"
	"selvage/tooth"
)

// Where surface is needed round the prepared tooth, mm.
const (
	beyondMargin = 0.2 // below the margin, on the root
	clearMargin  = 0.3 // inside the margin or above it, from where on it is surely the stump
	gumWidth     = 3.0 // of gum round the tooth
	behindLast   = 2.0 // of tissue behind a last tooth
	crownDepth   = 3.5 // of a neighbour below its top: its biting surface and its contours
	nearPart     = 0.7 // of the width of a neighbour or twin: its far edge may be where the scan ends
	besideGap    = 4.0 // of a neighbour's contours, from its facing surface
	aboveTop     = 3.0 // over the top of the stump, what lies there is no part of it
	underMargin  = 0.2 // below the margin, what lies inside it in plan is root or sulcus
)

// zone returns the part of the needed surface in which a point of the scan lies,
// and the tooth it belongs to; part is empty outside of all.
func (r *room) zone(p r3.Vec) (part Part, n tooth.Number) {
	q := r.frame.Point(p)
	in := r.inside(q)
	z := r.marginHeight(q)
	off := r.offMargin(q)
	switch {
	case off < beyondMargin:
		return PartBelowMargin, r.in.Number
	case in > 0 && q.Z > z-underMargin && q.Z < aboveTop && max(in, q.Z-z) > clearMargin:
		return PartPreparation, r.in.Number
	}
	for _, next := range []dentition.Neighbour{r.in.Prepared.Mesially, r.in.Prepared.Distally} {
		if r.meets(next) && r.onNeighbour(p, next) {
			return PartNeighbour, next.Number
		}
	}
	if in <= 0 && off < r.gumAt(q) && q.Z < z+gumWidth && !r.betweenTeeth(q) {
		if r.behindLastTooth(q) {
			return PartTerminal, r.in.Number
		}
		return PartGum, r.in.Number
	}
	if t, ok := r.twin(); ok && onCrown(p, t) {
		return PartTwin, t.Number
	}
	return "", 0
}

// meets reports whether the crown will touch a neighbour as it stands: one that is
// prepared too will be another.
func (r *room) meets(n dentition.Neighbour) bool {
	return n.Present && !slices.Contains(r.in.Others, n.Number)
}

// behindLastTooth reports whether a point of the room lies distal of a tooth that is
// the last of its side.
func (r *room) behindLastTooth(q r3.Vec) bool {
	return q.X < -math.Abs(q.Y) && !r.in.Prepared.Distally.Present && !r.in.Number.Front()
}

// twin returns the same tooth of the other side, which a front crown is made to look
// like, where the scan shows it.
func (r *room) twin() (dentition.Tooth, bool) {
	if !r.in.Number.Front() {
		return dentition.Tooth{}, false
	}
	for _, t := range r.in.Teeth {
		if t.Number == r.in.Number.OtherSide() && whole(t) {
			return t, true
		}
	}
	return dentition.Tooth{}, false
}

// onCrown reports whether a point lies on the crown of a tooth of the other side, from
// its top to crownDepth below and from its mesial edge over nearPart of its width: a
// scan that ends on its far edge shows what it looks like.
func onCrown(p r3.Vec, t dentition.Tooth) bool {
	v := p.Sub(t.Center)
	across, width := sideBreadth, t.Width
	if d, ok := tooth.Dimensions(t.Number); ok {
		across, width = d.BL, d.MD
	}
	along := t.Width/2 - v.Dot(t.Mesial)
	return along > 0 && along < min(t.Width, nearPart*width) && math.Abs(v.Dot(t.Buccal)) < across/2+1 && v.Dot(t.Occlusal) > -crownDepth
}

// gumAt returns how much gum is needed in the direction of a point of the room.
func (r *room) gumAt(q r3.Vec) float64 {
	if r.behindLastTooth(q) {
		return behindLast
	}
	return gumWidth
}

// onNeighbour reports whether a point lies on the biting surface of a neighbour,
// or on its contours beside the gap.
func (r *room) onNeighbour(p r3.Vec, next dentition.Neighbour) bool {
	width, depth := 7.0, sideBreadth
	if d, ok := tooth.Dimensions(next.Number); ok {
		width, depth = d.MD, d.BL
	}
	face, mid := r.frame.Point(next.Facing), r.frame.Point(next.Center)
	q := r.frame.Point(p)
	d := r3.V(mid.X-face.X, mid.Y-face.Y, 0).UnitOr(r3.V(math.Copysign(1, face.X), 0, 0))
	v := q.Sub(face)
	along := v.Dot(d)
	across := v.Dot(r3.V(-d.Y, d.X, 0)) - mid.Sub(face).Dot(r3.V(-d.Y, d.X, 0))
	if along < -0.3 || along > nearPart*width || math.Abs(across) > depth/2+0.5 || q.Z > mid.Z+1 {
		return false
	}
	if q.Z > mid.Z-crownDepth/2 {
		return true
	}
	return along < besideGap && q.Z > mid.Z-crownDepth
}

// betweenTeeth reports whether a point of the room lies in the direction of a
// neighbour: there the contact's raster looks, and a neighbour stands on the gum.
func (r *room) betweenTeeth(q r3.Vec) bool {
	d := r3.V(q.X, q.Y, 0).UnitOr(r3.V(0, 1, 0))
	const row = 0.7 // cos 45°
	return d.X > row && r.in.Prepared.Mesially.Present || d.X < -row && r.in.Prepared.Distally.Present
}

// weight orders the parts: the heavier one names a hole that lies in several.
func (p Part) weight() int {
	for i, q := range []Part{PartTwin, PartGum, PartTerminal, PartNeighbour, PartBelowMargin, PartPreparation} {
		if p == q {
			return i + 1
		}
	}
	return 0
}
