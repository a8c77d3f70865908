package coverage

import (
	"math"

	"selvage/dentition"
	"selvage/r3"
)

// Hand says how a scanner can be held: the size of its head, how far from a place it
// works, and how wide the mouth opens. The zero value of a field means the value of
// [DefaultHand].
//
// The head is a box. Its window is a square of Breadth in the middle of one end; it
// is Depth thick behind the window, and the handle goes on from it for Length,
// square to the direction of view, forwards out of the mouth or turned from there to
// the corner of it by up to 60°.
type Hand struct {
	Breadth float64 // mm, of the head
	Depth   float64 // mm, from the window to the back of the head
	Length  float64 // mm, of the part of the handle that must pass beside the teeth
	Near    float64 // mm, least distance of the window from a place
	Far     float64 // mm, largest distance at which it still sees sharply
	MaxTilt float64 // radians from the occlusal direction; more is behind the cheek or the tongue
	Opening float64 // mm between the front teeth of the open mouth
}

// DefaultHand returns a common head in a common mouth. Common practice: heads are 15
// to 20 mm broad and 14 to 20 mm thick, see sharply to some 15 mm, and patients open
// 40 to 50 mm, of which 40 can be held.
func DefaultHand() Hand {
	return Hand{
		Breadth: 17, Depth: 15, Length: 28, Near: 3, Far: 15,
		MaxTilt: 75 * math.Pi / 180, Opening: 40,
	}
}

// orDefault fills what is zero.
func (h Hand) orDefault() Hand {
	d := DefaultHand()
	for _, f := range []struct{ v, d *float64 }{
		{&h.Breadth, &d.Breadth},
		{&h.Depth, &d.Depth},
		{&h.Length, &d.Length},
		{&h.Near, &d.Near},
		{&h.Far, &d.Far},
		{&h.MaxTilt, &d.MaxTilt},
		{&h.Opening, &d.Opening},
	} {
		if *f.v <= 0 {
			*f.v = *f.d
		}
	}
	return h
}

// hinge is the distance from the front teeth back to the hinge of the jaw, mm: the
// side of Bonwill's triangle is 105, its height 91.
const hinge = 91.0

// behind lists how far behind the front teeth the middle of each tooth stands, mm, by
// its position from the midline: the mean widths along a mean arch.
var behind = [...]float64{0, 0, 2, 7, 14, 20, 28, 37, 45}

// opening returns the width of the open mouth at a height-free point of the room,
// forwards of the prepared tooth by fore mm: it opens like a door.
func (r *room) opening(fore float64) float64 {
	back := behind[r.in.Number.Position()] - fore
	return r.hand.Opening * max(0, 1-back/hinge)
}

// outOfMouth is the direction out of the mouth, in the frame of the scan: mesial at a
// back tooth, buccal at a front one, between the two at a canine and a premolar.
func (r *room) outOfMouth() r3.Vec {
	lean := [...]float64{0, 0, 0.15, 0.5, 0.75, 0.85, 1, 1, 1}[r.in.Number.Position()]
	m := r.back.Dir(r3.V(1, 0, 0))
	b := r.back.Dir(r3.V(0, r.buccal, 0))
	return m.Scale(lean).AddScaled(1-lean, b).UnitOr(m)
}

// Steps of the search for room, mm and radians.
const (
	distanceStep = 3.0
	gridStep     = 3.5 // between the rays through the head: under a tooth's breadth
	handleTurn   = 30 * math.Pi / 180
	handleTurns  = 2 // each way
)

// fits reports whether the head has room somewhere between its least and largest
// distance from a place, looking along d, with the handle in one of five directions:
// no tooth and no gum inside it, and no corner above the opposing teeth of the open
// mouth.
func (r *room) fits(mid, d r3.Vec) bool {
	h := r.hand
	out := r.forwards.Reject(d).UnitOr(firstOf(d.Basis()))
	side := d.Cross(out)
	for far := h.Near; far <= h.Far+1e-9; far += distanceStep {
		for k := range 2*handleTurns + 1 {
			// 0, 1, -1, 2, -2: straight out of the mouth first
			turn := float64((k+1)/2) * handleTurn
			if k%2 == 0 {
				turn = -turn
			}
			s, c := math.Sincos(turn)
			along := out.Scale(c).AddScaled(s, side)
			if r.inMouth(mid.AddScaled(far, d), d, along) && r.free(mid.AddScaled(far, d), d, along) {
				return true
			}
		}
	}
	return false
}

// inMouth reports whether the back of the head stays under the opposing teeth. The
// occlusal plane is the height of the neighbours, or of the place itself.
func (r *room) inMouth(window, d, along r3.Vec) bool {
	h := r.hand
	across := d.Cross(along)
	for _, a := range [2]float64{-h.Breadth / 2, h.Length} {
		for _, b := range [2]float64{-h.Breadth / 2, h.Breadth / 2} {
			p := window.AddScaled(h.Depth, d).AddScaled(a, along).AddScaled(b, across)
			v := p.Sub(r.in.Prepared.Center)
			if v.Dot(r.in.Prepared.Occlusal)-r.plane > r.opening(v.Dot(r.forwards)) {
				return false
			}
		}
	}
	return true
}

// free reports whether nothing that the scans show stands inside the head: rays
// along it, from its front end to the end of the handle, on a grid over its section.
func (r *room) free(window, d, along r3.Vec) bool {
	h := r.hand
	across := d.Cross(along)
	n := int(math.Ceil(h.Breadth / gridStep))
	m := int(math.Ceil(h.Depth / gridStep))
	for j := range m + 1 {
		for i := range n + 1 {
			o := window.AddScaled(h.Depth*float64(j)/float64(m), d).
				AddScaled(h.Breadth*(float64(i)/float64(n)-0.5), across).AddScaled(-h.Breadth/2, along)
			if r.blocked(o, along, 0, h.Breadth/2+h.Length) {
				return false
			}
		}
	}
	return true
}

// occlusalPlane is how high the teeth beside the prepared one stand over its middle,
// mm; 0 where none do.
func (r *room) occlusalPlane() float64 {
	z := 0.0
	for _, n := range []dentition.Neighbour{r.in.Prepared.Mesially, r.in.Prepared.Distally} {
		if n.Present {
			z = max(z, n.Center.Sub(r.in.Prepared.Center).Dot(r.in.Prepared.Occlusal))
		}
	}
	return z
}
