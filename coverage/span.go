package coverage

import (
	"fmt"
	"math"

	"selvage/r3"
	"selvage/tooth"
)

// How far the arch and the opposing teeth must be shown, mm.
const (
	forwardSlack  = 2.0 // the place of the canine is known from mean widths to about this
	opposingReach = 15.0
	opposingStep  = 0.5
	opposingSide  = 2.0 // to each side of the row
	opposingLeast = 2.0 // a stretch of the row without opponent that is worth a word
)

// forward fills in how far the arch is shown towards the midline, and returns a
// gap if that does not reach the canine.
func (r *room) forward(out *Result) (Gap, bool) {
	a, n := r.in.Arch, r.in.Number
	i := int(math.Round(r.in.Prepared.Place / max(a.Step, 1e-9)))
	if i < 0 || i >= len(a.Ridge) {
		return Gap{}, false
	}
	ahead := a.Along[i].Dot(r.in.Prepared.Mesial) > 0
	out.Forward = r.in.Prepared.Place
	if ahead {
		out.Forward = a.Length - r.in.Prepared.Place
	}
	if n.Front() {
		out.Canine = true
		return Gap{}, false
	}
	need := 0.0 // from the middle of the tooth to the middle of the canine
	for p := n.Position(); p >= 3; p-- {
		w := widthAt(n, p)
		if p == n.Position() || p == 3 {
			w /= 2
		}
		need += w
	}
	out.Canine = out.Forward >= need-forwardSlack || r.showsCanine()
	if out.Canine {
		return Gap{}, false
	}
	end := a.Ridge[0]
	if ahead {
		end = a.Ridge[len(a.Ridge)-1]
	}
	canine := canineOf(n)
	g := Gap{
		Kind: ArchTooShort, Part: PartArch, Tooth: canine, Surface: tooth.Mesial, Role: r.in.Working.Role,
		At: end, Normal: a.Occlusal, Extent: need - out.Forward, ExtentU: forwardSlack,
	}
	g.Why = fmt.Sprintf("the arch is shown for %.0f mm towards the front, about %.0f mm short of the canine", out.Forward, g.Extent)
	return g, true
}

// showsCanine reports whether the canine of the quadrant, or a tooth in front of
// it, was told with fair confidence mesially of the prepared tooth.
func (r *room) showsCanine() bool {
	const fair = 0.5
	for _, t := range r.in.Teeth {
		if t.Number.Quadrant() == r.in.Number.Quadrant() && t.Number.Position() <= 3 && t.Confidence > fair {
			return true
		}
	}
	return false
}

// widthAt returns the usual mesiodistal width of the tooth at a position of the
// quadrant of n.
func widthAt(n tooth.Number, position int) float64 {
	d, _ := tooth.Dimensions(tooth.Number(n.Quadrant()*10 + position))
	return d.MD
}

func canineOf(n tooth.Number) tooth.Number { return tooth.Number(n.Quadrant()*10 + 3) }

// opposing looks from the row of the prepared tooth and one tooth on each side
// along the occlusal direction for the opposing scan, and returns the longest
// stretch where it is not met.
func (r *room) opposing() (Gap, bool) {
	a, o := r.in.Arch, r.in.Opposing
	if o == nil || len(a.Ridge) == 0 || a.Step <= 0 {
		return Gap{}, false
	}
	before, after := r.reach(tooth.Mesial), r.reach(tooth.Distal)
	m := r.in.Prepared.Mesial
	i0 := int(math.Round(r.in.Prepared.Place / a.Step))
	sense := 1
	if i0 >= 0 && i0 < len(a.Ridge) && a.Along[i0].Dot(m) < 0 {
		sense = -1
	}
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

// met reports whether the opposing scan stands over ridge point i.
func (r *room) met(o *Surface, i int) bool {
	a := r.in.Arch
	for t := -opposingSide; t <= opposingSide; t += opposingStep {
		p := a.Ridge[i].AddScaled(t, a.Lingual[i])
		if o.Tree.Occluded(p, a.Occlusal, -opposingReach/2, opposingReach) {
			return true
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
