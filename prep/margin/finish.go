package margin

import (
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// Kind is the type of a finish line.
type Kind string

// The types, in the words of the prescription, and mixed where it changes round
// the tooth.
const (
	KnifeEdge      Kind = "knife-edge"
	Chamfer        Kind = "chamfer"
	HeavyChamfer   Kind = "heavy-chamfer"
	Shoulder       Kind = "shoulder"
	SlopedShoulder Kind = "sloped-shoulder"
	Mixed          Kind = "mixed"
)

// Finish describes the finish line: its width and its form, by azimuth and in all.
type Finish struct {
	Kind        Kind
	KindWhy     string        // where Kind is empty
	WidthLeast  measure.Value // mm, least after a short median over azimuth
	WidthMedian measure.Value // mm
	Width       []float64     // per margin point; NaN where not measured
	Share       map[Kind]float64
}

// Bounds of the classification (trade.md §1.5; derived there, common practice) and
// windows of the measurement.
const (
	knifeBelow   = 0.3
	chamferBelow = 0.7
	shoulderFrom = 0.8
	// roundedShare is the internal radius of a heavy chamfer as a share of its width.
	// trade.md suggests 0.4 of the true radius; as measured, phantoms of shoulders
	// read 0.3-0.5 and of chamfers 0.75-0.9, and 0.6 lies between.
	roundedShare = 0.6
	// From narrowSide under to wideSide over the width that parts a chamfer from a heavy one the fall at
	// the edge decides: a chamfer meets the root at 130-160°, a heavy one at 90-120°
	// (trade.md §1.5), which on a root that runs straight down is a fall of 40° or more
	// against 30° or less; phantoms read 33-43° and 9-16°.
	narrowSide   = 0.15
	wideSide     = 0.2
	chamferFalls = 25 * math.Pi / 180
	// A wide shelf that falls by more than roundFalls at its edge is a sloped shoulder
	// however round its corner reads: a heavy chamfer meets the root at 90-110°, a sloped
	// shoulder at 120-135° (trade.md §1.5). Waves of the line make the corner read rounder.
	roundFalls    = 22 * math.Pi / 180
	slopedBelow   = 12 * math.Pi / 180 // a shoulder falls less than this below horizontal at its edge
	slopedTo      = 60 * math.Pi / 180
	turnedAway    = 10 * math.Pi / 180 // the shelf begins where the profile leaves the wall's direction by this
	widthMedian   = 10                 // points each way of the median before the least is taken: 5 degrees
	besideUnclear = 0.5                // mm left out beside stretches that are not readable
	leastU        = 0.04               // mm, of the least width besides: the narrowest of many places is where the line is off most; as phantoms show
	mixedAbove    = 0.25               // share of a second type that makes the line mixed
)

// Describe measures the finish line of a traced margin.
//
// The width is taken across the axis, from the margin point to where the profile
// has turned 10° away from the wall's own line, in sections normal to the curve.
// Points where the line was not read, or within 0.5 mm of such, do not count; those where
// it was and the data merely ends too soon below it do.
func Describe(m *prep.Margin) Finish {
	n := len(m.Points)
	f := Finish{Width: make([]float64, n), Share: map[Kind]float64{}}
	usable := usablePoints(m, func(i int) bool { return m.Points[i].Traced })
	shelf := make([]shelfForm, n)
	var all []float64
	other := otherWalls(m)
	for i := range m.Points {
		f.Width[i] = math.NaN()
		if !usable[i] || other[i] {
			continue
		}
		if s, ok := formAt(m, i); ok {
			shelf[i] = s
			f.Width[i] = s.width
			all = append(all, s.width)
		}
	}
	if len(all) < n/4 {
		why := "too little of the margin is readable"
		f.WidthLeast, f.WidthMedian, f.KindWhy = measure.Not(why), measure.Not(why), why
		return f
	}
	u := 2 * math.Sqrt(m.Fan.Prep.Noise*m.Fan.Prep.Noise+0.012*0.012)
	f.WidthMedian = measure.Of(num.Median(all), u, measure.MM)
	least, at := leastWidth(f.Width)
	f.WidthLeast = measure.Of(least, math.Hypot(u, leastU), measure.MM).At(measure.Place{
		At: m.Points[at].At, Normal: m.Fan.Prep.Toward(m.Points[at].Azimuth), Scan: m.Fan.Prep.Scan,
	})
	f.classify(steadyForms(shelf))
	return f
}

// otherWalls marks profiles whose wall is not the one round the tooth: a hollow, a
// fossa, a bevel that was taken for it. No shelf begins at the foot of such.
func otherWalls(m *prep.Margin) []bool {
	t, ok := prep.FitTaper(m.Facets(), r3.V(0, 0, 1))
	if !ok {
		return make([]bool, len(m.Points))
	}
	return t.Outside
}

// shelfForm is what one section says of the shelf.
type shelfForm struct {
	width  float64
	radius float64 // of the inner corner
	slope  float64 // of the shelf at its edge, radians below horizontal
	ok     bool
}

// usablePoints marks points that are good and at least besideUnclear from one that is not.
func usablePoints(m *prep.Margin, good func(i int) bool) []bool {
	n := len(m.Points)
	ok := make([]bool, n)
	for i := range ok {
		ok[i] = good(i)
	}
	out := append([]bool(nil), ok...)
	for i := range ok {
		if ok[i] {
			continue
		}
		for dir := -1; dir <= 1; dir += 2 {
			s := 0.0
			for j := 1; s < besideUnclear && j < n; j++ {
				k := (i + dir*j + n) % n
				s += m.Points[k].At.Dist(m.Points[(k-dir+n)%n].At)
				out[k] = false
			}
		}
	}
	return out
}

// formAt measures one section.
func formAt(m *prep.Margin, i int) (shelfForm, bool) {
	w := &m.Walls[i]
	p := &m.Fan.Profiles[i]
	if !w.Found() {
		return shelfForm{}, false
	}
	g := m.Fan.Prep.Frame().Point(m.Points[i].At)
	edge := math.Hypot(g.X, g.Y)
	along := math.Pi/2 - w.Taper()
	start := leaves(p, w, along, m.Points[i].Sample, m.Fan.Step)
	if start < 0 {
		return shelfForm{}, false
	}
	s := shelfForm{width: (edge - p.Rho[start]) * math.Cos(m.Tilt(i)), slope: m.Points[i].Before, ok: true}
	s.form(p, w, start, m.Points[i].Sample, m.Fan.Step)
	return s, true
}

// leaves returns the sample at which a profile has turned turnedAway from the wall's
// direction, along, before the edge; -1 where the wall is not seen. It is the place that
// best parts headings nearer to the wall's from those farther: the first or the last
// such heading by itself would lie where the noise is largest, and the width with it.
func leaves(p *prep.Profile, w *prep.WallLine, along float64, edge int, step float64) int {
	half := max(int(0.1/step), 2)
	from, to := (w.From+w.To)/2, min(edge, p.Len()-1)-half
	start, score, best := -1, 0, 0
	for k := from; k <= to; k++ {
		th, ok := p.Heading(k, -half, half)
		switch {
		case !ok:
			continue
		case along-th < turnedAway:
			score++
		default:
			score--
		}
		if score > best {
			start, best = k, score
		}
	}
	return start
}

// The outer part of a shelf gives its line: from outerFrom of its length before the
// edge to clear of the edge's rounding.
const (
	outerFrom = 0.45
	clearEdge = 0.075 // mm
)

// form measures the shelf's slope and the radius of the corner between it and the
// wall. The shelf's line is fitted to its outer part; the wall's is known. A circle
// that touches both lies, at its nearest, r(1/cos(turn/2) - 1) from where they meet,
// turn the angle between them: the gap gives r. On a chamfer, one circle from wall to
// edge, both lines touch that circle and the formula holds as well.
func (s *shelfForm) form(p *prep.Profile, w *prep.WallLine, start, edge int, step float64) {
	s.radius = math.Inf(1)
	from := edge - int(outerFrom*float64(edge-start))
	to := edge - int(clearEdge/step)
	if to >= p.Len() || to-from < 3 {
		return
	}
	theta, ok := p.Heading((from+to)/2, from-(from+to)/2, to-(from+to)/2)
	if !ok {
		return
	}
	s.slope = theta
	along := math.Pi/2 - w.Taper()
	turn := along - theta
	if turn < turnedAway {
		return
	}
	var mr, mz float64
	for k := from; k <= to; k++ {
		mr += p.Rho[k]
		mz += p.Z[k]
	}
	n := float64(to - from + 1)
	mr, mz = mr/n, mz/n
	// The shelf's line (mr + t·cos θ, mz - t·sin θ) meets the wall's ρ = A - B·z.
	c, si := math.Cos(theta), math.Sin(theta)
	t := (w.At(mz) - mr) / (c - w.B*si)
	cr, cz := mr+t*c, mz-t*si
	gap := math.Inf(1)
	for k := w.From; k <= to; k++ {
		gap = min(gap, math.Hypot(p.Rho[k]-cr, p.Z[k]-cz))
	}
	s.radius = gap / (1/math.Cos(turn/2) - 1)
}

// leastWidth is the least of the widths after a median over neighbours.
func leastWidth(width []float64) (least float64, at int) {
	n := len(width)
	least = math.Inf(1)
	var win []float64
	for i := range width {
		if math.IsNaN(width[i]) {
			continue
		}
		win = win[:0]
		for d := -widthMedian; d <= widthMedian; d++ {
			if v := width[(i+d+n)%n]; !math.IsNaN(v) {
				win = append(win, v)
			}
		}
		if len(win) <= widthMedian {
			continue // beside a stretch that is left out
		}
		if v := num.Median(win); v < least {
			least, at = v, i
		}
	}
	return least, at
}

// formReach is how many points each way the form is a median over: 30 degrees, which is
// more than a wave that a bur leaves and less than a side of the tooth, over which a finish
// line changes.
const formReach = 60

// steadyForms replaces radius and slope by their medians over neighbours: one
// profile of a noisy scan cannot tell a shoulder from a chamfer.
func steadyForms(forms []shelfForm) []shelfForm {
	n := len(forms)
	out := append([]shelfForm(nil), forms...)
	var rs, ss []float64
	for i := range forms {
		rs, ss = rs[:0], ss[:0]
		for d := -formReach; d <= formReach; d++ {
			if q := &forms[(i+d+n)%n]; q.ok {
				rs, ss = append(rs, q.radius), append(ss, q.slope)
			}
		}
		if len(rs) > 0 {
			out[i].radius, out[i].slope = num.Median(rs), num.Median(ss)
		}
	}
	return out
}

// classify names the type: the one most points have, or mixed where a second has
// more than a quarter of them.
func (f *Finish) classify(forms []shelfForm) {
	kinds := []Kind{KnifeEdge, Chamfer, HeavyChamfer, Shoulder, SlopedShoulder}
	total := 0.0
	for _, s := range forms {
		if s.ok {
			f.Share[s.kind()]++
			total++
		}
	}
	first, second := Kind(""), Kind("")
	for _, k := range kinds {
		f.Share[k] /= total
		switch {
		case f.Share[k] > f.Share[first]:
			first, second = k, first
		case f.Share[k] > f.Share[second]:
			second = k
		}
	}
	f.Kind = first
	if f.Share[second] > mixedAbove {
		f.Kind = Mixed
	}
}

func (s shelfForm) kind() Kind {
	switch {
	case s.width < knifeBelow:
		return KnifeEdge
	case s.width < chamferBelow-narrowSide:
		return Chamfer
	case s.width < chamferBelow+wideSide && (s.radius >= roundedShare*s.width || s.width < shoulderFrom):
		if s.slope > chamferFalls {
			return Chamfer
		}
		return HeavyChamfer
	case s.width < chamferBelow:
		return Chamfer
	case s.width >= shoulderFrom && s.radius < roundedShare*s.width && s.slope < slopedBelow:
		return Shoulder
	case s.width >= shoulderFrom && (s.radius < roundedShare*s.width || s.slope > roundFalls) && s.slope < slopedTo:
		return SlopedShoulder
	default:
		return HeavyChamfer
	}
}
