package coverage

import (
	"fmt"
	"math"

	"selvage/dentition"
	"selvage/r3"
	"selvage/tooth"
)

// How far the arch and the opposing teeth must be shown, mm.
const (
	forwardSlack  = 2.0 // the place of another tooth is known from mean widths to about this,
	forwardShare  = 0.1 // ... and this share of the way: the ridge cuts the bend of the front teeth
	opposingReach = 15.0
	opposingStep  = 0.5
	opposingSide  = 4.0 // to each side of the row: the overjet of front teeth
	opposingLeast = 2.0 // a stretch of the row without opponent that is worth a word
)

// forward fills in how far the arch is shown, and returns a gap for each end that
// does not reach far enough: the canine of the quadrant, and for a front tooth its
// twin on the other side.
func (r *room) forward(out *Result) []Gap {
	a, n := r.in.Arch, r.in.Number
	if len(a.Ridge) == 0 || a.Step <= 0 {
		return nil
	}
	out.Forward = r.shown(tooth.Mesial)
	canine := canineOf(n)
	out.Canine = n == canine || r.reaches(canine)
	var gaps []Gap
	if !out.Canine {
		gaps = append(gaps, r.shortOf(canine))
	}
	if n.Front() && !r.reaches(n.OtherSide()) {
		gaps = append(gaps, r.shortOf(n.OtherSide()))
	}
	return gaps
}

// shown returns how far teeth are shown to one side of the prepared tooth: to the
// far edge of the last whole tooth that was told apart, or to the end of the ridge
// where none were.
func (r *room) shown(side tooth.Surface) float64 {
	a, place := r.in.Arch, r.in.Prepared.Place
	ahead := (r.sense() > 0) == (side == tooth.Mesial)
	far := 0.0
	for _, t := range r.in.Teeth {
		if !whole(t) {
			continue
		}
		if d := place - t.From; !ahead {
			far = max(far, d)
		} else {
			far = max(far, t.To-place)
		}
	}
	switch {
	case far > 0:
		return far
	case ahead:
		return a.Length - place
	}
	return place
}

// whole reports whether a tooth is shown in most of its width: less is a piece at
// the end of the scan, or gum.
func whole(t dentition.Tooth) bool {
	const share = 0.65
	d, ok := tooth.Dimensions(t.Number)
	return ok && t.Width > share*d.MD
}

// sense is +1 where mesial is forwards along the ridge, -1 where it is backwards.
func (r *room) sense() int {
	a := r.in.Arch
	i := min(len(a.Ridge)-1, max(0, int(math.Round(r.in.Prepared.Place/a.Step))))
	if a.Along[i].Dot(r.in.Prepared.Mesial) < 0 {
		return -1
	}
	return 1
}

// towards returns the side of the prepared tooth on which another tooth of its jaw
// stands.
func (r *room) towards(n tooth.Number) tooth.Surface {
	if n.Quadrant() != r.in.Number.Quadrant() || n.Position() < r.in.Number.Position() {
		return tooth.Mesial
	}
	return tooth.Distal
}

// need returns how far along the ridge the middle of another tooth stands, by the
// usual widths of the teeth between.
func (r *room) need(n tooth.Number) float64 {
	row := tooth.AlongArch(r.in.Number, n)
	sum := 0.0
	for i, t := range row {
		d, _ := tooth.Dimensions(t)
		if i == 0 || i == len(row)-1 {
			d.MD /= 2
		}
		sum += d.MD
	}
	return sum
}

// reaches reports whether the scan shows the middle of another tooth of the jaw:
// it was told with fair confidence, or the ridge is long enough.
func (r *room) reaches(n tooth.Number) bool {
	const fair = 0.5
	for _, t := range r.in.Teeth {
		if t.Number == n && t.Confidence > fair && whole(t) {
			return true
		}
	}
	return r.shown(r.towards(n)) >= r.need(n)*(1-forwardShare)-forwardSlack
}

// shortOf describes an arch that ends before tooth n.
func (r *room) shortOf(n tooth.Number) Gap {
	a := r.in.Arch
	side := r.towards(n)
	end := a.Ridge[0]
	if (r.sense() > 0) == (side == tooth.Mesial) {
		end = a.Ridge[len(a.Ridge)-1]
	}
	need := r.need(n)
	g := Gap{
		Kind: ArchTooShort, Part: PartArch, Tooth: n, Surface: side, Role: r.in.Working.Role,
		At: end, Normal: a.Occlusal, Extent: need - r.shown(side), ExtentU: forwardSlack + need*forwardShare,
	}
	g.Why = fmt.Sprintf("the arch is shown for %.0f mm to the %s side, about %.0f mm short of %v", r.shown(side), side, g.Extent, n)
	return g
}

func canineOf(n tooth.Number) tooth.Number { return tooth.Number(n.Quadrant()*10 + 3) }

// opposing looks from the row of the prepared tooth and one tooth on each side
// along the axis for the opposing scan, and returns the longest
// stretch where it is not met.
func (r *room) opposing() (Gap, bool) {
	a, o := r.in.Arch, r.in.Opposing
	if o == nil || len(a.Ridge) == 0 || a.Step <= 0 {
		return Gap{}, false
	}
	before, after := r.reach(tooth.Mesial), r.reach(tooth.Distal)
	i0, sense := int(math.Round(r.in.Prepared.Place/a.Step)), r.sense()
	var run, worst []r3.Vec
	step := int(math.Round(opposingStep / a.Step))
	for k := -int(after / a.Step); k <= int(before/a.Step); k += max(1, step) {
		i := i0 + sense*k
		if i < 0 || i >= len(a.Ridge) {
			continue
		}
		if r.met(o, i) {
			run = nil
			continue
		}
		run = append(run, a.Ridge[i])
		if len(run) > len(worst) {
			worst = run
		}
	}
	if float64(len(worst))*opposingStep < opposingLeast {
		return Gap{}, false
	}
	mid := worst[len(worst)/2]
	g := Gap{
		Kind: SurfaceMissing, Part: PartOpposing, Tooth: r.in.Number.Opposite(), Role: o.Role,
		At: mid, Normal: a.Occlusal.Neg(), Extent: float64(len(worst)) * opposingStep, ExtentU: 2 * opposingStep,
		Surface: r.side(r.frame.Point(mid)),
	}
	g.Approach = Approach{Direction: a.Occlusal.Neg(), From: tooth.Occlusal, Seen: 1, Words: "straight from above"}
	g.Why = fmt.Sprintf("over %.1f mm of the row nothing of the opposing teeth is shown", g.Extent)
	return g, true
}

// met reports whether the opposing scan stands over ridge point i, seen along the
// occlusal direction or the axis: in a short row of front teeth either may lean by
// 30° away from the opponents, which bite behind.
func (r *room) met(o *Surface, i int) bool {
	a := r.in.Arch
	for _, up := range [2]r3.Vec{a.Occlusal, r.back.Dir(r3.V(0, 0, 1))} {
		for t := -opposingSide; t <= opposingSide; t += opposingStep {
			p := a.Ridge[i].AddScaled(t, a.Lingual[i])
			if o.Tree.Occluded(p, up, -opposingReach/2, opposingReach) {
				return true
			}
		}
	}
	return false
}

// reach returns how far along the row to one side the opposing teeth are needed:
// half the tooth, and the tooth beside it if there is one.
func (r *room) reach(side tooth.Surface) float64 {
	n := r.in.Number
	own, _ := tooth.Dimensions(n)
	next, present := r.in.Prepared.Mesially, r.in.Prepared.Mesially.Present
	if side == tooth.Distal {
		next, present = r.in.Prepared.Distally, r.in.Prepared.Distally.Present
	}
	if !present {
		return own.MD / 2
	}
	beside, ok := tooth.Dimensions(next.Number)
	if !ok {
		return own.MD / 2
	}
	// The edge of the tooth beside it may overhang the last opponent by a cusp.
	return own.MD/2 + beside.MD*0.7
}
