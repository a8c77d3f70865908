package report

import (
	"fmt"
	"math"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/r3"
	"selvage/tooth"
)

// ring is the margin drawn as seen along the insertion axis: a diagram, in its
// own units of a square of side ringSide with y down.
type ring struct {
	Alt    string
	Seen   []string // paths: captured
	Dashed []string // paths: doubtful
	Beads  []string // paths: not in the scan
	Arcs   []string // paths beside stretches that cannot be read
	Words  []ringWord
	Spots  []ringSpot
}

type ringWord struct {
	X, Y   string
	Word   string
	Anchor string
}

type ringSpot struct {
	X, Y string // corner of its square of side 30
	N    int
	Kind string // scan, ask, note
}

const (
	ringSide  = 300.0
	ringSides = 50.0 // room for words to the left and right of the square
	ringRoom  = 92.0 // the farthest margin point from the middle
	ringArc   = 18.0 // from the margin to the arc beside it
	ringBadge = 42.0 // from the margin to a number
	// bridgedMM and sureAt are as in the pictures: shorter stretches are only dashed;
	// below this confidence a line is never drawn full.
	bridgedMM = 0.5
	sureAt    = 0.5
)

// ring draws the margin of restoration r; ok is false if there is none.
func (in Input) ring(r int, order []Ranked) (ring, bool) {
	rr := in.Report.Restorations[r]
	m := rr.Measures.Margin
	if m.Not != "" || len(m.Points) < 3 {
		return ring{}, false
	}
	n, _ := tooth.Parse(tooth.FDI, rr.Tooth.FDI)
	p := in.ringPlane(r, n, m)
	out := ring{Alt: in.marginSentence(m)}
	pts := make([][2]float64, len(m.Points))
	for i, q := range m.Points {
		pts[i] = p.flat(vec(q))
	}
	states := ringStates(m)
	for i := 0; i < len(pts); {
		j := i
		for j < len(pts) && states[j] == states[i] {
			j++
		}
		run := pts[i:min(j+1, len(pts))]
		if j == len(pts) && m.Closed {
			run = append(append([][2]float64{}, run...), pts[0])
		}
		out.put(states[i], run)
		i = j
	}
	if p.turned {
		out.words(in.words(), p.chart, n)
	}
	out.spots(r, m.Scan, p, order)
	return out, true
}

// ringPlane maps points of the margin's scan to the drawing.
type ringPlane struct {
	middle         r3.Vec
	mesial, buccal r3.Vec
	chart          chart
	scale          float64
	turned         bool
}

func (in Input) ringPlane(r int, n tooth.Number, m casefile.Margin) ringPlane {
	p := ringPlane{chart: chartOf(n)}
	for _, q := range m.Points {
		p.middle = p.middle.Add(vec(q))
	}
	p.middle = p.middle.Scale(1 / float64(len(m.Points)))
	axis := flatNormal(m.Points, p.middle)
	if a := in.Report.Restorations[r].Measures.InsertionAxis; a.Not == "" && a.Scan == m.Scan {
		axis = vec(a.Value).UnitOr(axis)
	}
	p.mesial, p.buccal, p.turned = in.turned(r, n, axis, p.middle)
	if !p.turned { // any turn will do, without words
		e1, e2 := axis.Basis()
		p.mesial, p.buccal = e1, e2
		p.chart = chart{mesial: [2]float64{1, 0}, buccal: [2]float64{0, 1}}
	}
	far := 0.0
	for _, q := range m.Points {
		far = max(far, vec(q).Sub(p.middle).Reject(axis).Norm())
	}
	if far > 0 {
		p.scale = ringRoom / far
	}
	return p
}

// flatNormal is the normal of a curve by its vector area, for a margin without an
// insertion axis.
func flatNormal(pts [][3]float64, middle r3.Vec) r3.Vec {
	var s r3.Vec
	for i := range pts {
		a, b := vec(pts[i]).Sub(middle), vec(pts[(i+1)%len(pts)]).Sub(middle)
		s = s.Add(a.Cross(b))
	}
	return s.UnitOr(r3.V(0, 0, 1))
}

func (p ringPlane) flat(q r3.Vec) [2]float64 {
	d := q.Sub(p.middle)
	x, y := p.chart.at(p.mesial.Dot(d), p.buccal.Dot(d))
	return [2]float64{ringSide/2 + p.scale*x, ringSide/2 - p.scale*y}
}

// ringStates gives each margin point its way of drawing: 0 seen, 1 dashed, 2 dashed
// and hatched beside, 3 beads and hatched beside.
func ringStates(m casefile.Margin) []int {
	out := make([]int, len(m.Points))
	for i := range out {
		if i < len(m.Confidence) && m.Confidence[i] < sureAt {
			out[i] = 1
		}
	}
	for _, s := range m.Stretches {
		state := 2
		switch {
		case s.State == finding.NotCaptured:
			state = 3
		case s.LengthMM <= bridgedMM:
			state = 1
		}
		if s.From < 0 || s.To < 0 || s.From >= len(out) || s.To >= len(out) {
			continue
		}
		for i := s.From; ; i = (i + 1) % len(out) {
			out[i] = state
			if i == s.To {
				break
			}
		}
	}
	return out
}

// put adds a run of points in one state.
func (g *ring) put(state int, run [][2]float64) {
	switch state {
	case 0:
		g.Seen = append(g.Seen, pathOf(run, 0))
	case 1, 2:
		g.Dashed = append(g.Dashed, pathOf(run, 0))
	default:
		g.Beads = append(g.Beads, pathOf(run, 0))
	}
	if state >= 2 {
		g.Arcs = append(g.Arcs, pathOf(run, ringArc))
	}
}

// pathOf writes a run as a path, moved away from the middle by off.
func pathOf(run [][2]float64, off float64) string {
	var b strings.Builder
	for i, q := range run {
		x, y := outward(q, off)
		op := 'L'
		if i == 0 {
			op = 'M'
		}
		fmt.Fprintf(&b, "%c%.1f %.1f", op, x, y)
	}
	if len(run) == 1 {
		b.WriteString("h.1")
	}
	return b.String()
}

func outward(q [2]float64, off float64) (x, y float64) {
	dx, dy := q[0]-ringSide/2, q[1]-ringSide/2
	l := math.Hypot(dx, dy)
	if l == 0 {
		return q[0], q[1]
	}
	return q[0] + off*dx/l, q[1] + off*dy/l
}

// words puts the four sides around the ring.
func (g *ring) words(w *Words, c chart, n tooth.Number) {
	for _, s := range [...]tooth.Surface{tooth.Mesial, tooth.Distal, tooth.Buccal, tooth.Lingual} {
		x, y, _ := c.toward(s)
		anchor := "middle"
		px, py := ringSide/2+x*(ringSide/2-8), ringSide/2-y*(ringSide/2-12)
		if x > 0.5 {
			anchor, px = "end", ringSide+ringSides-4
		} else if x < -0.5 {
			anchor, px = "start", 4-ringSides
		}
		g.Words = append(g.Words, ringWord{X: num(px), Y: num(py + 5), Word: w.side(s.Word(n)), Anchor: anchor})
	}
}

// spots puts numbers beside findings that lie on the margin's scan.
func (g *ring) spots(r int, scan finding.Role, p ringPlane, order []Ranked) {
	for _, f := range order {
		if f.Restoration != r || f.At == nil || f.Scan != scan || kindOf(f.Action) == "note" || !marginal(f.Code) {
			continue
		}
		q := p.flat(vec(*f.At))
		x, y := outward(q, ringBadge)
		x, y = min(max(x, 16), ringSide-16), min(max(y, 16), ringSide-16)
		g.Spots = append(g.Spots, ringSpot{X: num(x - 15), Y: num(y - 15), N: f.N, Kind: kindOf(f.Action)})
	}
}

// marginal reports whether a finding speaks of the margin. All else has its own
// pictures, and would crowd this one.
func marginal(c finding.Code) bool {
	switch c {
	case finding.MarginNotCaptured, finding.MarginUnclear, finding.MarginTwoLines, finding.FinishLineNarrow, finding.GapNarrow:
		return true
	default:
		return false
	}
}

// kindOf is the shape of a finding's mark: an open ring for scanning, a full disc
// for the dentist, a square for the rest.
func kindOf(a finding.Action) string {
	switch a {
	case finding.ScanAgain, finding.OpenMargin, finding.CheckFiles:
		return "scan"
	case finding.AskDentist:
		return "ask"
	default:
		return "note"
	}
}

func num(v float64) string { return fmt.Sprintf("%.1f", v) }
