package dentition

import (
	"fmt"
	"math"
	"slices"

	"selvage/r3"
	"selvage/tooth"
)

// Limits of the search for the prepared tooth.
const (
	// sideLoss, nextLoss and otherLoss are by how much the score of the numbering may
	// fall if the stump gets the number asked for instead of the best one, where the
	// best one is on the other side, next to it, or farther along the same side. The
	// side is told by the order of all teeth, so little is allowed (2.8 at most in
	// sound phantoms, 5.2 at least in mirrored ones); a lost tooth or a space shifts
	// the count by one, so much is.
	sideLoss = 4.0
	// turnedLoss takes the place of sideLoss where the triangles wound inside out. That
	// alone makes a mirrored scan likely, so the teeth need not prove it; but it also
	// comes of an export that winds the wrong way, and the better number then stands.
	turnedLoss = 1.5
	nextLoss   = 9.0
	otherLoss  = 6.0
	// shortRow is the length of a row, mm, under which it holds too few teeth for their
	// order to tell the side: three front teeth, or two molars and what is left of a third.
	// There nextLoss takes the place of sideLoss, and shortLoss that of the two others where
	// the stump is as broad as one of that number: the one or two teeth beside it fit many
	// places.
	shortRow  = 28.0
	shortLoss = 10.0
	// aloneReach is how far from the ridge, mm, the middle of a preparation scan
	// may lie in a working scan of the same frame.
	aloneReach = 8.0
	// stumpGap is the breadth of shelf and sulcus round the wall, mm.
	stumpGap = 1.6
)

// FindPrepared finds the prepared tooth of a working scan.
//
// A prepared tooth stands alone: walls that fall steeply on every side, room
// behind each of them where a natural tooth touches its neighbour, and a top below
// those of the teeth beside it. Every place on the arch is scored for this. The
// teeth are then numbered with the stump in its place, and the number asked for is
// believed if that costs the numbering little against the best one.
//
// preparation is the scan of that tooth alone in the same frame, or nil; where it
// is given its middle says where to look. Seen means a prepared tooth at the place
// of number n; WrongSide one at the mirrored place, Elsewhere one at another.
// Directions are by the shape of the arch at the tooth that was seen.
// Cost: about 60 ms for a full arch.
func FindPrepared(working Scan, n tooth.Number, preparation *Scan) Prepared {
	a := working.Arch
	p := Prepared{Number: n, Occlusal: a.Occlusal}
	if a.Extent == NoArch || a.strip == nil {
		p.Why = fmt.Sprintf("no prepared tooth is to be seen at %v: %s", n, a.Why)
		return p
	}
	best := stump{}
	for _, v := range a.views() {
		s, ok := v.pick(preparation, n)
		if !ok {
			continue
		}
		q := v.identify(s, n)
		if q.loss < best.loss || !best.found {
			best = q
			a = v
		}
	}
	if !best.found {
		p.Why = fmt.Sprintf("no prepared tooth is to be seen at %v", n)
		return p
	}
	return a.describe(p, best)
}

// FindAllPrepared finds the prepared teeth of several numbers, each as [FindPrepared]
// does; preparations holds the scan of each tooth alone, or nil. Where two of them come
// to one place, out of their order along the arch, or one is not seen, the two are looked
// for together among all places that look like stumps: in their order, and as far apart
// as the teeth between are wide. What stands beside a stump is then no neighbour that its
// number could be taken from.
func FindAllPrepared(working Scan, numbers []tooth.Number, preparations []*Scan) []Prepared {
	out := make([]Prepared, len(numbers))
	for i, n := range numbers {
		out[i] = FindPrepared(working, n, preparations[i])
	}
	a := working.Arch
	if a.Extent == NoArch || a.strip == nil {
		return out
	}
	for j := range out {
		for i := range j {
			if preparations[i] != nil || preparations[j] != nil || numbers[i] == numbers[j] || numbers[i].Jaw() != numbers[j].Jaw() || !clash(out[i], out[j]) {
				continue
			}
			if p, q, ok := a.pair(numbers[i], numbers[j]); ok {
				out[i], out[j] = p, q
			}
		}
	}
	return out
}

// clash reports whether two prepared teeth cannot both be what they were taken for.
func clash(p, q Prepared) bool {
	if p.Sighting != Seen || q.Sighting != Seen {
		return true
	}
	before := kindOf(p.Number) < kindOf(q.Number)
	return p.Center.Dist(q.Center) < minWidth || (p.Place < q.Place) != before
}

const (
	// apartSlack and apartShare are how well the distance of two teeth along the ridge is
	// known from mean widths: mm, and a share of it.
	apartSlack = 2.0
	apartShare = 0.15
	// pairLoss is by how much the scores of two stumps in their order and the right way
	// apart may fall together: one is no natural tooth beside the other, by whose width the
	// rest could be counted.
	pairLoss = nextLoss + otherLoss
)

// pair returns the two places of the arch that fit two numbers best: of those that look
// like stumps, in order and the right way apart, those whose numbers cost the numbering
// least. ok is false where no two do.
func (a Arch) pair(m, n tooth.Number) (p, q Prepared, ok bool) {
	row := tooth.AlongArch(m, n)
	want := 0.0
	for k, t := range row {
		w := expect(t, 1).width
		if k == 0 || k == len(row)-1 {
			w /= 2
		}
		want += w
	}
	best := math.Inf(1)
	for _, v := range a.views() {
		all := v.stumps(v.strip.chart)
		for i := range all {
			if all[i].score >= stumpOnly {
				all[i] = v.identify(all[i], m) // its support serves both numbers
			}
		}
		for _, s := range all {
			for _, t := range all {
				far := math.Abs(s.place - t.place)
				if s.score < stumpOnly || t.score < stumpOnly || math.Abs(far-want) > apartSlack+apartShare*want ||
					(s.place < t.place) != (kindOf(m) < kindOf(n)) {
					continue
				}
				s, t := v.identify(s, m), v.identify(t, n)
				s.paired = s.number.Side() == m.Side() && t.number.Side() == n.Side() && s.loss+t.loss <= pairLoss
				t.paired = s.paired
				if loss := s.loss + t.loss + math.Abs(far-want); s.fits(m) && t.fits(n) && loss < best {
					best, ok = loss, true
					up := v.Occlusal
					p, q = v.describe(Prepared{Number: m, Occlusal: up}, s), v.describe(Prepared{Number: n, Occlusal: up}, t)
				}
			}
		}
	}
	return p, q, ok
}

// views returns the arch, and the arch seen the other way round where the concave
// side is not certain.
func (a Arch) views() []Arch {
	if a.SideKnown {
		return []Arch{a}
	}
	return []Arch{a, a.turned()}
}

// turned returns the arch with its ends, and so its sides, exchanged.
func (a Arch) turned() Arch {
	b := a
	n := len(a.Ridge)
	b.Ridge, b.Lingual, b.Along = make([]r3.Vec, n), make([]r3.Vec, n), make([]r3.Vec, n)
	for i := range n {
		j := n - 1 - i
		b.Ridge[i], b.Lingual[i], b.Along[i] = a.Ridge[j], a.Lingual[j].Neg(), a.Along[j].Neg()
	}
	b.Middle = a.Length - a.Middle
	b.Named = nil
	for _, h := range a.Named {
		h.Place = a.Length - h.Place
		b.Named = append(b.Named, h)
	}
	b.strip = a.strip.turned()
	return b
}

// turned returns the strip rotated by half a turn.
func (s *strip) turned() *strip {
	t := *s
	back := func(x []float64) []float64 {
		y := make([]float64, len(x))
		for i, v := range x {
			y[len(x)-1-i] = v
		}
		return y
	}
	t.z, t.high, t.top, t.bulk, t.broad, t.steep = back(s.z), back(s.high), back(s.top), back(s.bulk), back(s.broad), back(s.steep)
	return &t
}

// pick returns the stump to identify: the one at the preparation scan, else the
// best that passes and stands at the place of number n, else the best that passes, else
// the best at the place of n that nearly passes.
func (a Arch) pick(preparation *Scan, n tooth.Number) (stump, bool) {
	c := a.strip.chart
	if preparation != nil && preparation.Mesh != nil && len(preparation.Mesh.Pos) > 0 {
		return a.alone(c, preparation)
	}
	var best stump
	for _, s := range a.stumps(c) { // best first
		if s.score < stumpOnly || best.found && s.score < max(stumpAsks, best.score-stumpRival) {
			break
		}
		q := a.identify(s, n)
		if q.fits(n) {
			return q, true
		}
		if !best.found && s.score >= stumpAsks {
			best = q
		}
	}
	return best, best.found
}

// alone returns the stump at the middle of a preparation scan. ok is false if the
// scan does not lie on the arch.
func (a Arch) alone(c *chart, preparation *Scan) (stump, bool) {
	m := c.frame.Point(preparation.Mesh.Box().Center())
	i := a.nearest(c, xy{m.X, m.Y})
	q := c.frame.Point(a.Ridge[i])
	if math.Hypot(q.X-m.X, q.Y-m.Y) > aloneReach || math.Abs(q.Z-m.Z) > 2*aloneReach {
		return stump{}, false
	}
	best := a.judge(c, xy{m.X, m.Y})
	for t := -2.0; t <= 2; t++ {
		for d := -2.0; d <= 2; d++ {
			if s := a.climb(c, a.judge(c, xy{m.X + t, m.Y + d})); s.score > best.score {
				best = s
			}
		}
	}
	best.alone = true
	return best, true
}

// identify numbers the teeth with s as the prepared one and returns s with the
// number that fits best and what it would cost to call it n.
func (a Arch) identify(s stump, n tooth.Number) stump {
	s.found, s.turned, s.short = true, a.rewound, a.Length < shortRow
	s.loss = math.Inf(1)
	if s.support == nil {
		s.support = a.supportNear(s.place, n.Jaw())
	}
	top := math.Inf(-1)
	for k, v := range s.support {
		if v > top {
			top = v
			s.number = types(n.Jaw())[k]
		}
	}
	for k, v := range s.support {
		if types(n.Jaw())[k] == n {
			s.loss = top - v
		}
	}
	return s
}

// other returns the stump with what it would cost to call it n.
func (s stump) other(n tooth.Number) stump {
	s.loss, s.paired = slices.Max(s.support)-s.support[kindOf(n)], false
	return s
}

// fits reports whether the stump can be number n.
func (s stump) fits(n tooth.Number) bool {
	switch {
	case s.paired:
		return true
	case s.number.Side() != n.Side() && s.turned:
		return s.loss <= turnedLoss
	case s.number.Side() != n.Side() && !s.short:
		return s.loss <= sideLoss
	case s.number.Side() != n.Side():
		return s.loss <= nextLoss
	case abs(s.number.Position()-n.Position()) <= 1 && s.loss <= nextLoss, s.loss <= otherLoss:
		return true
	}
	return s.short && s.loss <= shortLoss && s.sized(n)
}

// molarTop is how far the wall of a molar's stump stands from its middle, as a share of the
// tooth's mean width, and otherTop that of other teeth, whose tops narrow more: medians over
// the azimuths of phantoms, 0.26 to 0.28 and 0.1 to 0.16. topFactor is by what factor
// another may differ.
const (
	molarTop  = 0.27
	otherTop  = 0.14
	topFactor = 1.7
)

// sized reports whether the stump is about as broad as tooth n leaves one.
func (s stump) sized(n tooth.Number) bool {
	d, ok := tooth.Dimensions(n)
	var near []float64
	for _, w := range s.ring.wall {
		if w > 0 {
			near = append(near, w)
		}
	}
	if !ok || len(near) == 0 {
		return true
	}
	usual := otherTop
	if n.Class() == tooth.Molar {
		usual = molarTop
	}
	ratio := median(near) / ((d.MD + d.BL) / 2) / usual
	return ratio < topFactor && ratio > 1/topFactor
}

// supportNear returns the support at a place or, where the ridge ends so close to it that
// no tooth finds room there, at the nearest place farther in where one does.
func (a Arch) supportNear(place float64, jaw tooth.Jaw) []float64 {
	in := 1.0
	if place > a.Length/2 {
		in = -1
	}
	out := a.supportAt(place, jaw)
	for d := 1.0; d <= minWidth && math.IsInf(slices.Max(out), -1); d++ {
		out = a.supportAt(place+in*d, jaw)
	}
	return out
}

// supportAt returns, for each of the sixteen teeth of a jaw, the score of the
// best numbering in which that tooth is the prepared one at a place.
func (a Arch) supportAt(place float64, jaw tooth.Jaw) []float64 {
	out := make([]float64, len(types(jaw)))
	for k := range out {
		out[k] = math.Inf(-1)
	}
	r := newRail(a.strip)
	at := int(math.Round(place / r.step))
	rated := r.stretches()
	for _, scale := range mouthScales {
		q := &numbering{r: r, rated: rated, held: a.held(jaw, r.step), stump: at, middle: a.Middle / r.step}
		for _, n := range types(jaw) {
			q.kinds = append(q.kinds, expect(n, scale))
		}
		q.rate()
		open, _ := q.forward()
		d := (scale - 1) / scaleSpread
		back, _ := q.backward()
		for k, v := range q.support(at, open, back) {
			out[k] = max(out[k], v-d*d/2)
		}
	}
	return out
}

// describe writes what was seen.
func (a Arch) describe(p Prepared, s stump) Prepared {
	c := a.strip.chart
	n := p.Number
	s = a.settle(c, s)
	p.Place = s.place
	i := a.index(s.place)
	seen := n
	switch {
	case s.fits(n):
		p.Sighting = Seen
		p.Why = fmt.Sprintf("a prepared tooth stands at the place of %v", n)
		if s.other(n.OtherSide()).fits(n.OtherSide()) || !a.SideKnown && !s.alone {
			p.Doubt = n.OtherSide()
		}
	case s.number.Side() != n.Side() && s.support[kindOf(n.OtherSide())] >= s.support[kindOf(s.number)]-nextLoss:
		p.Sighting, seen = WrongSide, n.OtherSide()
		p.Why = fmt.Sprintf("the prepared tooth stands on the other side: at %v, not at %v", seen, n)
	default:
		p.Sighting, seen = Elsewhere, s.number
		p.Why = fmt.Sprintf("the prepared tooth stands at %v, not at %v", seen, n)
	}
	p.Mesial, p.Buccal = a.sides(i, seen)
	p.Confidence = min(1, max(0.1, (s.score-stumpAsks)/(1-stumpAsks)))
	if s.alone {
		p.Confidence = 1
	}
	top, reach := s.ring.top, 0.0
	for _, w := range s.ring.wall {
		reach = max(reach, w)
	}
	if math.IsInf(top, -1) {
		top = a.strip.high[i]
	}
	p.Center, p.at, p.ring = c.chartPoint(s.at, top), s.at, s.ring
	p.Radius = reach + stumpGap
	d := c.frame.Dir(p.Mesial)
	mesial := xy{d.X, d.Y}
	m, _ := seen.Mesial()
	p.Mesially = a.neighbour(c, s, mesial, m)
	e, hasDistal := seen.Distal()
	p.Distally = a.neighbour(c, s, mesial.scale(-1), e)
	if !hasDistal {
		p.Distally = Neighbour{}
	}
	return p
}

// kindOf returns the place of n among the sixteen teeth of its jaw.
func kindOf(n tooth.Number) int {
	for k, t := range types(n.Jaw()) {
		if t == n {
			return k
		}
	}
	return 0
}

// Limits of a neighbour, mm.
const (
	nextArc  = 30 * math.Pi / 180 // to each side of the row
	nextGap  = 4.5                // between the wall of the stump and the neighbour, at most
	nextRise = 2.0                // a neighbour stands this much above the foot of the stump, at least
	nextRun  = 1.5                // and rises over this: gum behind a last tooth climbs over more
)

// neighbour looks from the stump along dir for the tooth beside it.
func (a Arch) neighbour(c *chart, s stump, dir xy, n tooth.Number) Neighbour {
	b := Neighbour{Number: n}
	best := math.Inf(1)
	for k := range rays {
		y, x := math.Sincos(2 * math.Pi * float64(k) / rays)
		ray := xy{x, y}
		if ray.dot(dir) < math.Cos(nextArc) || s.ring.wall[k] == 0 {
			continue
		}
		r, z, ok := c.rise(s, k, ray)
		if gap := r - s.ring.wall[k]; ok && gap < best && gap < nextGap {
			best = gap
			b.Present, b.Gap = true, gap
			b.Facing = c.chartPoint(s.at.add(r, ray), z)
		}
	}
	if !b.Present {
		return b
	}
	// The crown's middle: half a tooth beyond its facing surface, on the ridge.
	w := expect(n, 1).width / 2
	f := c.frame.Point(b.Facing)
	i := a.nearest(c, xy{f.X, f.Y}.add(w, dir))
	b.Center = a.Ridge[i].AddScaled(a.strip.high[i]-a.Ridge[i].Dot(a.Occlusal), a.Occlusal)
	return b
}

// rise follows ray k outwards from the foot of the stump to where the surface
// stands nextRise above it, and returns that place if the climb is steep.
func (c *chart) rise(s stump, k int, ray xy) (r, z float64, ok bool) {
	low, from := math.Inf(1), 0.0
	for r = s.ring.wall[k]; r < s.ring.wall[k]+nextGap; r += rayStep / 2 {
		p := s.at.add(r, ray)
		z = c.sample(p.x, p.y)
		if math.IsNaN(z) {
			continue
		}
		if z < low {
			low = z
		}
		if z < low+nextRise/4 {
			from = r
		}
		if z > low+nextRise {
			return r, z, r-from < nextRun
		}
	}
	return 0, 0, false
}
