package coverage

import (
	"math"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// room is the place of the prepared tooth with its directions, and the surfaces
// that may show what is needed there.
type room struct {
	in       Input
	frame    r3.Rigid // room from scan: x mesial, y buccal (or as near as right-handed allows), z occlusal
	back     r3.Rigid
	buccal   float64    // +1 where y is buccal, -1 where it is lingual
	witness  []*Surface // of the final stage
	outline  []r3.Vec   // the margin in the room; never empty
	measured bool       // the outline is the traced margin, not a circle
	hand     Hand
	forwards r3.Vec  // unit, out of the mouth, in the frame of the scan
	plane    float64 // height of the biting surface over the middle of the prepared tooth
}

// Sizes where no margin was traced, mm.
const (
	guessInset = 1.0 // by which the margin is taken to lie inside Prepared.Radius (the sulcus)
	guessSteps = 72  // points of the circle that stands in for it
	guessDepth = 4.0 // below the top: the usual height of a stump
)

// newRoom sets up the room of the prepared tooth.
func newRoom(in Input) *room {
	up := in.Axis.UnitOr(in.Prepared.Occlusal) // the outline of the margin is seen along the axis
	m := in.Prepared.Mesial.Reject(up).UnitOr(firstOf(up.Basis()))
	r := &room{in: in, hand: in.Hand.orDefault(), frame: r3.FrameTo(in.Prepared.Center, m, up.Cross(m), up)}
	r.back = r.frame.Inverse()
	r.buccal = 1
	if up.Cross(m).Dot(in.Prepared.Buccal) < 0 {
		r.buccal = -1
	}
	r.forwards, r.plane = r.outOfMouth(), r.occlusalPlane()
	for _, s := range []*Surface{in.Working, in.Preparation} {
		if s != nil {
			r.witness = append(r.witness, s)
		}
	}
	for _, p := range in.Margin {
		r.outline = append(r.outline, r.frame.Point(p))
	}
	r.measured = len(r.outline) >= 3
	if !r.measured {
		r.outline = r.circle()
	}
	return r
}

func firstOf(a, _ r3.Vec) r3.Vec { return a }

// circle stands in for the margin.
func (r *room) circle() []r3.Vec {
	rad := math.Max(1, r.in.Prepared.Radius-guessInset)
	out := make([]r3.Vec, guessSteps)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / guessSteps)
		out[i] = r3.V(rad*c, rad*s, -guessDepth)
	}
	return out
}

// side names the side of the prepared tooth on which a point of the room lies.
func (r *room) side(p r3.Vec) tooth.Surface {
	a := math.Atan2(p.Y*r.buccal, p.X) // from mesial by way of buccal
	k := int(math.Round(a/(math.Pi/4))) & 7
	return compass[k]
}

// compass lists the sides from mesial by way of buccal, 45° apart.
var compass = [8]tooth.Surface{
	tooth.Mesial, tooth.Mesiobuccal, tooth.Buccal, tooth.Distobuccal,
	tooth.Distal, tooth.Distolingual, tooth.Lingual, tooth.Mesiolingual,
}

// inside returns how far a point of the room lies inside the margin in plan, mm;
// negative outside. Cost: O(points of the margin).
func (r *room) inside(p r3.Vec) float64 {
	in := false
	d2 := math.Inf(1)
	n := len(r.outline)
	for i := range n {
		a, b := r.outline[i], r.outline[(i+1)%n]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
		d2 = min(d2, flatDist2(p, a, b))
	}
	if in {
		return math.Sqrt(d2)
	}
	return -math.Sqrt(d2)
}

// flatDist2 returns the squared distance in plan from p to the segment ab.
func flatDist2(p, a, b r3.Vec) float64 {
	p.Z, a.Z, b.Z = 0, 0, 0
	ab := b.Sub(a)
	t := 0.0
	if l := ab.Norm2(); l > 0 {
		t = min(1, max(0, p.Sub(a).Dot(ab)/l))
	}
	return p.Dist2(a.Lerp(b, t))
}

// marginHeight returns the height of the margin nearest to p in plan.
func (r *room) marginHeight(p r3.Vec) float64 {
	z, low := 0.0, math.Inf(1)
	for _, q := range r.outline {
		if d := (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y); d < low {
			z, low = q.Z, d
		}
	}
	return z
}

// offMargin returns the distance from a point of the room to the margin.
func (r *room) offMargin(p r3.Vec) float64 {
	d2 := math.Inf(1)
	n := len(r.outline)
	for i := range n {
		a, b := r.outline[i], r.outline[(i+1)%n]
		ab := b.Sub(a)
		t := 0.0
		if l := ab.Norm2(); l > 0 {
			t = min(1, max(0, p.Sub(a).Dot(ab)/l))
		}
		d2 = min(d2, p.Dist2(a.Lerp(b, t)))
	}
	return math.Sqrt(d2)
}

// first returns the first hit of any witness along a ray given in the frame of
// the scan, and the outward normal there.
func (r *room) first(o, d r3.Vec, tmin, tmax float64) (h bvh.Hit, n r3.Vec, ok bool) {
	best := math.Inf(1)
	for _, s := range r.witness {
		if x, hit := s.Tree.Ray(o, d, tmin, tmax); hit && x.T < best {
			best, h, ok = x.T, x, true
			n = s.Mesh.AreaVector(x.Face).UnitOr(r3.Vec{})
		}
	}
	return h, n, ok
}

// spacing returns the coarsest median edge of the witnesses.
func (r *room) spacing() float64 {
	s := 0.0
	for _, w := range r.witness {
		s = max(s, medianEdge(w.Mesh))
	}
	return s
}

// medianEdge is the median edge of at most a few thousand faces of m: enough for
// two digits, and a full scan takes long to sort.
func medianEdge(m *mesh.Mesh) float64 {
	const enough = 4096
	step := max(1, len(m.Tri)/enough)
	part := &mesh.Mesh{Pos: m.Pos}
	for f := 0; f < len(m.Tri); f += step {
		part.Tri = append(part.Tri, m.Tri[f])
	}
	return part.MedianEdge()
}
