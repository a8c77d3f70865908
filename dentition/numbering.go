package dentition

import (
	"math"

	"selvage/tooth"
)

// Weights of the numbering, as log likelihoods where the data allow. Widths and
// their spread come from trade.md §7.2; the rest was set so that each term is
// worth about one standard deviation of width when it is doubtful, on the two
// plaster casts, and is held by the tests on phantoms.
const (
	existReward   = 2.5  // a tooth found rather than a space
	depthReward   = 2.0  // per log unit of each boundary's depth, up to depthFull
	depthFull     = 1.2  // a section of a third: a clear contact
	depthLeast    = 0.25 // contacts of lower incisors fall by as little (a fifth of the section) ...
	depthLack     = 12.0 // ... per log unit by which a boundary falls less
	innerPenalty  = 10.0 // per log unit of a valley inside one tooth ...
	innerMolar    = 0.25 // ... beyond this for a molar (its buccal groove),
	innerPremolar = 0.12 // ... this for a premolar or canine,
	innerIncisor  = 0.05 // ... and this for an incisor: the contacts of the lower ones are hardly deeper
	widthSpread   = 0.6  // mm, added in quadrature to the survey's spread: wear, rotation, the ridge's bend
	bulkSpread    = 0.35 // log units
	broadBack     = 0.15 // log units, of the breadth of molars and premolars
	broadFront    = 0.35 // of front teeth, which wear makes broader
	broadLimit    = 6.0  // the breadth never counts for more than this
	bulkLimit     = 8.0  // the bulk never counts for more than this
	flatPenalty   = 1.5  // per mm by which the flanks run out beyond flatRun
	flatRun       = 2.2  // mm
	padPenalty    = 14.0 // for what is as flat as gum and lies padSunk below the row
	padSunk       = 1.0  // mm: not at all ...
	padDeep       = 3.0  // mm: ... and fully
	sunkPenalty   = 3.0  // per mm by which a top lies deeper than sunkLeast below the row:
	sunkLeast     = 3.0  // mm; an empty ridge lies 5 or more below it
	skipPenalty   = 4.0  // per tooth missing between two that touch
	gonePenalty   = 2.5  // per tooth missing that left a gap ...
	goneSpread    = 3.0  // ... whose width is the tooth's to this, mm: the others drift into it
	spacePenalty  = 0.8  // per mm between two teeth
	beyondPenalty = 0.25 // per mm before the first and behind the last
	spaceToothed  = 1.2  // per mm and log unit of bulk above log 3 in a space: something stands there
	middlePull    = 0.5  // per (mm/middleSpread)² between the midline and the symmetry of the arch
	middleSpread  = 2.5  // mm
	anchorReward  = 40.0 // the anchor's number at its place
	thirdPenalty  = 2.0  // third molars are often missing, and pads of gum look like them:
	thirdDepth    = 0.3  // so both ends must fall by this (log units), the flanks ...
	thirdRun      = 1.8  // ... be this steep (mm), or it costs
	thirdDoubt    = 8.0
	confidentHalf = 2.0 // score by which the best must beat the second to be believed by 1 - 1/e
)

// boundary rates one end of a tooth by how far it lies below its peak.
func boundary(depth float64) float64 {
	return depthReward*min(depth, depthFull) - depthLack*max(0, depthLeast-depth)
}

// endPlaces is how near the end of the rail, in grid places, a tooth must reach to
// count as cut off by it: a millimetre.
const endPlaces = 2

// types returns the sixteen teeth of a jaw in the order in which the ridge meets
// them (see the package comment).
func types(j tooth.Jaw) []tooth.Number {
	if j == tooth.Upper {
		return tooth.AlongArch(18, 28)
	}
	return tooth.AlongArch(38, 48)
}

// expectation is what a tooth of one type should look like.
type expectation struct {
	number       tooth.Number
	width, sigma float64 // mm
	bulk         float64 // log of the largest section, see strip
	broad, vary  float64 // log of the breadth 2.5 mm under the top, and its spread
	inner        float64
}

// The breadth of a crown 2.5 mm under its top as a share of its largest, on the two
// casts and on phantoms: 0.82 to 0.92 for molars and premolars, 0.43 to 0.48 for
// canines; 0.3 to 0.65 for incisors, by how worn they are.
const (
	broadShare   = 0.86
	canineShare  = 0.46
	incisorShare = 0.42
)

// expect returns the expectation for n in a mouth whose teeth are scale times
// the mean. The section of a molar or premolar is about 2.3 mm times its breadth
// (4 mm deep with cusps), that of a front tooth 1.5 mm times its breadth.
func expect(n tooth.Number, scale float64) expectation {
	d, _ := tooth.Dimensions(n)
	w, sd := d.MD, 0.8
	if d.Men.Mean > 0 {
		w, sd = (d.Men.Mean+d.Women.Mean)/2, (d.Men.SD+d.Women.SD)/2
	}
	e := expectation{number: n, width: w * scale, sigma: math.Hypot(sd, widthSpread), inner: innerPremolar}
	section := 2.3 * d.BL
	if n.Front() {
		section = 1.5 * d.BL
	}
	share := broadShare
	e.vary = broadBack
	switch n.Class() {
	case tooth.Molar:
		e.inner = innerMolar
	case tooth.Canine:
		share, e.vary = canineShare, broadFront
	case tooth.Incisor:
		e.inner = innerIncisor
		share, e.vary = incisorShare, broadFront
	}
	e.broad = math.Log(share*d.BL + broadFloor)
	e.bulk = math.Log(section + bulkFloor)
	return e
}

// score rates a stretch of width w mm as the tooth of e. A prepared tooth keeps
// its place and its gaps, but its section is a stump's; of one that the scan cuts
// off at its end less may be seen than its width.
func (e expectation) score(t stretch, w float64, prepared, cut bool) float64 {
	x := (w - e.width) / e.sigma
	if cut {
		x = max(0, x)
	}
	s := existReward - x*x/2
	if prepared {
		return s + 2*depthReward*depthFull
	}
	s += boundary(t.depth0) + boundary(t.depth1)
	if cut { // the end of a scan is no valley
		s += depthLack * max(0, depthLeast-min(t.depth0, t.depth1))
	}
	s -= innerPenalty * max(0, t.inner-e.inner)
	b := (t.peak - e.bulk) / bulkSpread
	s -= min(bulkLimit, b*b/2)
	w2 := (t.broad - e.broad) / e.vary
	s -= min(broadLimit, w2*w2/2)
	s -= flatPenalty * max(0, t.steep-flatRun)
	s -= padPenalty * (1 - toothed(t.steep)) * (1 - soft(t.sunk, padSunk, padDeep))
	s -= sunkPenalty * min(max(0, t.sunk-sunkLeast), reliefDepth)
	if e.number.Position() == 8 {
		s -= thirdPenalty
		if min(t.depth0, t.depth1) < thirdDepth || t.steep > thirdRun {
			s -= thirdDoubt
		}
	}
	return s
}

// hold fixes a kind at a grid place.
type hold struct{ at, kind int }

// within reports whether a fixed number lies inside the stretch from a to b.
func (q *numbering) within(a, b int) bool {
	for _, h := range q.held {
		if h.at > a && h.at < b {
			return true
		}
	}
	return false
}

// numbering is the search for the best run of teeth along a rail.
type numbering struct {
	r      *rail
	kinds  []expectation
	held   []hold  // numbers that are fixed
	stump  int     // grid place of a prepared tooth, or -1: there the section says nothing
	middle float64 // grid place of the symmetry, NaN if unknown
	rated  [][]stretch
	there  [][]float64 // by kind and by (start, width) of every candidate: scores of the tooth
	gone   [][]float64 // and of the gap that it left
	lo, hi int
}

// rate scores all stretches as every kind, present and gone.
func (q *numbering) rate() {
	q.lo, q.hi = q.r.widths()
	span := q.hi - q.lo + 1
	standing := make([]float64, q.r.n) // what stands in the way of a gap, up to each place
	for a := 1; a < q.r.n; a++ {
		standing[a] = standing[a-1] + q.standing(a)
	}
	q.there, q.gone = make([][]float64, len(q.kinds)), make([][]float64, len(q.kinds))
	for k, e := range q.kinds {
		q.there[k], q.gone[k] = make([]float64, q.r.n*span), make([]float64, q.r.n*span)
		for a := range q.r.n {
			for i := range q.rated[a] {
				b := a + q.lo + i
				q.there[k][a*span+i] = q.rateOne(k, a, b)
				x := (float64(b-a)*q.r.step - e.width) / goneSpread
				g := -gonePenalty - x*x/2 - (standing[b] - standing[a])
				if q.within(a, b) || q.stump > a && q.stump < b {
					g = math.Inf(-1)
				}
				q.gone[k][a*span+i] = g
			}
		}
	}
}

// rateOne scores the stretch from a to b as kind k, with the anchor and the
// midline.
func (q *numbering) rateOne(k, a, b int) float64 {
	cut := a < endPlaces || b > q.r.n-1-endPlaces
	s := q.kinds[k].score(q.rated[a][b-a-q.lo], float64(b-a)*q.r.step, q.stump > a && q.stump < b, cut)
	for _, h := range q.held {
		switch {
		case h.at <= a || h.at >= b:
		case k == h.kind:
			s += anchorReward
		default:
			s -= anchorReward
		}
	}
	// The two central incisors stand at kinds 7 and 8 and share the midline.
	if !math.IsNaN(q.middle) && (k == 7 || k == 8) {
		at := b
		if k == 8 {
			at = a
		}
		d := (float64(at) - q.middle) * q.r.step / middleSpread
		s -= middlePull * d * d / 2
	}
	return s
}

// score returns the score of the stretch from a to b as kind k, there or gone.
func (q *numbering) score(k, a, b int) float64 {
	i := a*(q.hi-q.lo+1) + b - a - q.lo
	return max(q.there[k][i], q.gone[k][i])
}

// stands reports whether the stretch is better a tooth than the gap of one.
func (q *numbering) stands(k, a, b int) bool {
	i := a*(q.hi-q.lo+1) + b - a - q.lo
	return q.there[k][i] >= q.gone[k][i]
}

// standing returns what a grid step at place a costs for what stands on it if no
// tooth is said to.
func (q *numbering) standing(a int) float64 {
	return q.r.step * spaceToothed * max(0, q.r.logs[a]-math.Log(3)) * toothed(q.r.steep[a]) * standsUp(q.r.row[a]-q.r.high[a])
}

// space returns what a grid step at place a costs between two teeth, beyond what it
// costs before the first or behind the last.
func (q *numbering) space(a int) float64  { return q.r.step*spacePenalty + q.standing(a) }
func (q *numbering) beyond(a int) float64 { return q.r.step*beyondPenalty + q.standing(a) }

// toothed is 1 where flanks are steep as a crown's, 0 where they run out: on the casts
// and on phantoms 0.2 to 1.4 mm for teeth, 1.8 and more for pads of gum.
func toothed(steep float64) float64 { return soft(steep, crownRun, gumRun) }

// standsUp is 1 where the surface reaches the level of the row, 0 where it lies as deep
// as gum.
func standsUp(sunk float64) float64 { return soft(sunk, sunkLeast, sunkLeast+sunkGum) }

// Limits of what stands in a space like a tooth, mm.
const (
	crownRun = 1.4
	gumRun   = 2.0
	sunkGum  = 2.0
)

// forward fills the tables of the dynamic programme:
//
//	open[k][a]  best score of everything before place a if kind k starts at a
//	done[k][b]  best score of everything up to b if kind k ends at b
//
// A kind may have left a gap of about its width; kinds that the run skips without
// one cost skipPenalty each, spaces by the step. What lies before the first tooth
// costs less and no skip.
func (q *numbering) forward() (open, done [][]float64) {
	n, m := q.r.n, len(q.kinds)
	open, done = make([][]float64, m), make([][]float64, m)
	for k := range m {
		open[k], done[k] = make([]float64, n), make([]float64, n)
		for a := range n {
			done[k][a] = math.Inf(-1)
		}
	}
	lead := q.lead()
	for a := range n {
		entry := math.Inf(-1) // best way to be past kind k-1 right at a
		for k := range m {
			o := max(entry, lead[a])
			if a > 0 {
				o = max(o, open[k][a-1]-q.space(a))
			}
			open[k][a] = o
			for i := range q.rated[a] {
				b := a + q.lo + i
				done[k][b] = max(done[k][b], o+q.score(k, a, b))
			}
			entry = max(entry-skipPenalty, done[k][a])
		}
	}
	return open, done
}

// lead returns, per place, what it costs to have no tooth up to there.
func (q *numbering) lead() []float64 {
	t := make([]float64, q.r.n)
	for a := 1; a < q.r.n; a++ {
		t[a] = t[a-1] - q.beyond(a)
	}
	return t
}

// tail returns, per place, what it costs to have no more teeth from there on.
func (q *numbering) tail() []float64 {
	t := make([]float64, q.r.n)
	for a := q.r.n - 2; a >= 0; a-- {
		t[a] = t[a+1] - q.beyond(a+1)
	}
	return t
}

// placed is one tooth of a numbering: kind and grid places.
type placed struct {
	kind, a, b int
	confidence float64
}

// solve returns the best run of teeth, in order along the rail, and its score.
func (q *numbering) solve() ([]placed, float64) {
	q.rate()
	open, done := q.forward()
	tail := q.tail()
	best, kind, end := math.Inf(-1), -1, 0
	for k := range q.kinds {
		for b := range q.r.n {
			if s := done[k][b] + tail[b]; s > best {
				best, kind, end = s, k, b
			}
		}
	}
	if kind < 0 || best < tail[0] { // no tooth is better than these
		return nil, tail[0]
	}
	var run []placed
	for {
		a := q.startOf(open, done, kind, end)
		if q.stands(kind, a, end) {
			run = append(run, placed{kind: kind, a: a, b: end})
		}
		k, b, ok := q.before(open, done, kind, a)
		if !ok {
			break
		}
		kind, end = k, b
	}
	for i, j := 0, len(run)-1; i < j; i, j = i+1, j-1 {
		run[i], run[j] = run[j], run[i]
	}
	q.trust(run, best, open, done)
	return run, best
}

// startOf returns where the tooth of a kind that ends at b starts.
func (q *numbering) startOf(open, done [][]float64, k, b int) int {
	for w := q.lo; w <= q.hi && b-w >= 0; w++ {
		if a := b - w; open[k][a]+q.score(k, a, b) == done[k][b] {
			return a
		}
	}
	panic("dentition: the numbering lost its way")
}

// before returns the tooth before the one of a kind that starts at a.
func (q *numbering) before(open, done [][]float64, k, a int) (kind, b int, ok bool) {
	lead := q.lead()
	for at := a; ; at-- {
		entry := math.Inf(-1)
		from := -1
		for i := range k {
			if s := entry - skipPenalty; i > 0 {
				entry = s
			}
			if done[i][at] >= entry && !math.IsInf(done[i][at], -1) {
				entry, from = done[i][at], i
			}
		}
		if from >= 0 && entry == open[k][at] {
			return from, at, true
		}
		if at == 0 || open[k][at] == lead[at] {
			return 0, 0, false
		}
	}
}

// trust writes the confidence of each tooth of the best run: by how much the
// best run beats the best one in which the middle of the tooth belongs to another
// kind, or to no tooth at all.
func (q *numbering) trust(run []placed, best float64, open, done [][]float64) {
	back, wait := q.backward()
	empty := q.empty(open, done, back, wait)
	for i := range run {
		mid := (run[i].a + run[i].b) / 2
		other := max(empty[mid], q.goneAt(mid, open, back))
		for k, s := range q.support(mid, open, back) {
			if k != run[i].kind {
				other = max(other, s)
			}
		}
		run[i].confidence = 1 - math.Exp(-max(0, best-other)/confidentHalf)
	}
}

// empty returns, for each place, the best score of any run that has a space there:
// before the first tooth, between two, or behind the last.
func (q *numbering) empty(open, done, back, wait [][]float64) []float64 {
	n := q.r.n
	out := make([]float64, n)
	lead, tail := q.lead(), q.tail()
	behind := math.Inf(-1) // best run that has ended
	spaced := make([]float64, len(q.kinds))
	for k := range spaced {
		spaced[k] = math.Inf(-1)
	}
	for m := range n {
		out[m] = behind + tail[m]
		for k := range q.kinds {
			if m > 0 {
				spaced[k] = max(spaced[k], done[k][m-1]) - q.space(m)
			}
			out[m] = max(out[m], spaced[k]+back[k][m])
			behind = max(behind, done[k][m])
		}
	}
	ahead := math.Inf(-1) // best run that starts from here on
	for m := n - 1; m >= 0; m-- {
		out[m] = max(out[m], ahead)
		for k := range q.kinds {
			ahead = max(ahead, lead[m]+wait[k][m])
		}
	}
	return out
}

// goneAt returns the best score of any run in which place mid lies in the gap that a
// tooth left.
func (q *numbering) goneAt(mid int, open, back [][]float64) float64 {
	best := math.Inf(-1)
	span := q.hi - q.lo + 1
	for k := range q.kinds {
		for a := max(0, mid-q.hi); a < mid; a++ {
			for b := max(mid+1, a+q.lo); b <= a+q.hi && b < q.r.n; b++ {
				best = max(best, open[k][a]+q.gone[k][a*span+b-a-q.lo]+back[k][b])
			}
		}
	}
	return best
}

// support returns, for each kind, the best score of any run in which a tooth of
// that kind stands on grid place mid (max-marginals from both ends).
func (q *numbering) support(mid int, open, back [][]float64) []float64 {
	out := make([]float64, len(q.kinds))
	for k := range q.kinds {
		out[k] = math.Inf(-1)
		for a := max(0, mid-q.hi); a < mid; a++ {
			for b := max(mid+1, a+q.lo); b <= a+q.hi && b < q.r.n; b++ {
				there := q.there[k][a*(q.hi-q.lo+1)+b-a-q.lo]
				out[k] = max(out[k], open[k][a]+there+back[k][b])
			}
		}
	}
	return out
}

// backward returns the best score of everything after a tooth of kind k that
// ends at b, and of everything from a on if one starts there: the forward tables of
// the reversed rail.
func (q *numbering) backward() (after, start [][]float64) {
	n, m := q.r.n, len(q.kinds)
	out := make([][]float64, m)
	for k := range m {
		out[k] = make([]float64, n)
	}
	tail := q.tail()
	start = make([][]float64, m)
	for k := range m {
		start[k] = make([]float64, n)
	}
	for a := n - 1; a >= 0; a-- {
		enter := math.Inf(-1) // best way on from kind k that ended at a
		for k := m - 1; k >= 0; k-- {
			stay := math.Inf(-1)
			if a+1 < n {
				stay = out[k][a+1] - q.space(a+1)
			}
			out[k][a] = max(tail[a], enter, stay)
			s := math.Inf(-1)
			for i := range q.rated[a] {
				b := a + q.lo + i
				s = max(s, q.score(k, a, b)+out[k][b])
			}
			start[k][a] = s
			enter = max(enter-skipPenalty, s)
		}
	}
	return out, start
}
