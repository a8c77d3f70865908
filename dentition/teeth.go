package dentition

import (
	"math"

	"selvage/r3"
	"selvage/tooth"
)

// Anchor fixes the number of one tooth at a place along the ridge. The zero
// Anchor fixes nothing.
type Anchor struct {
	Number tooth.Number
	Place  float64 // mm along the ridge
	Whole  bool    // it is a whole tooth there, not the prepared one
}

// nameReach is how far from the ridge, mm, a point may lie that names a tooth: half a
// molar's breadth and some of its flank.
const nameReach = 8.0

// Name says that the tooth at a point of the scan is number n. Teeth that were named
// are never numbered otherwise, and the others are numbered around them; the prepared
// tooth too is identified by them. It reports false where the point lies on no tooth of
// the arch.
func (a *Arch) Name(n tooth.Number, at r3.Vec) bool {
	if a.strip == nil || !n.Valid() {
		return false
	}
	c := a.strip.chart
	p := c.frame.Point(at)
	i := a.nearest(c, xy{p.X, p.Y})
	q := c.frame.Point(a.Ridge[i])
	if math.Hypot(p.X-q.X, p.Y-q.Y) > nameReach {
		return false
	}
	a.Named = append(a.Named, Anchor{Number: n, Place: float64(i) * a.Step})
	return true
}

// Place returns where along the ridge a point of the scan lies, mm.
func (a *Arch) Place(at r3.Vec) float64 {
	if a.strip == nil {
		return math.NaN()
	}
	p := a.strip.chart.frame.Point(at)
	return float64(a.nearest(a.strip.chart, xy{p.X, p.Y})) * a.Step
}

// held returns what fixes numbers on the grid of a rail: the teeth that were named, and
// the given anchor.
func (a *Arch) held(jaw tooth.Jaw, step float64, more ...Anchor) []hold {
	var out []hold
	for _, h := range append(append([]Anchor(nil), a.Named...), more...) {
		for k, n := range types(jaw) {
			if n == h.Number {
				out = append(out, hold{at: int(math.Round(h.Place / step)), kind: k})
			}
		}
	}
	return out
}

// mouthScales are the sizes of teeth tried, relative to the mean of the survey:
// two standard deviations of a whole dentition's size are about 10 %.
var mouthScales = [...]float64{0.88, 0.92, 0.96, 1, 1.04, 1.08, 1.12}

// scaleSpread is the standard deviation of a dentition's size.
const scaleSpread = 0.05

// FindTeeth finds the teeth along an arch and numbers them.
//
// The bulk of the section across the ridge (area within 4 mm of the top) falls at
// every contact. A dynamic programme lays the sixteen teeth of the jaw, in order
// and with any missing, on the ridge so that boundaries fall on valleys, widths
// agree with the survey of trade.md §7.2 (times one factor for the whole mouth),
// sections with the tooth's breadth, and the flanks are as steep as a crown's. The
// midline is drawn to the symmetry of the arch where both sides are seen.
//
// Each tooth carries the confidence that follows from how much the best run
// beats the best other one at that place. No teeth are found in a scan without an
// arch. Cost: O(L²·k) for a ridge of L places, about 30 ms for a full arch.
func FindTeeth(a Arch, jaw tooth.Jaw, anchor Anchor) []Tooth {
	run, q, _ := number(a, jaw, anchor)
	teeth := make([]Tooth, 0, len(run))
	for _, p := range run {
		t := a.tooth(q.kinds[p.kind].number, p, q.r.step)
		for _, h := range a.Named {
			if h.Number == t.Number && h.Place > t.From && h.Place < t.To {
				t.ByHand, t.Confidence = true, 1
			}
		}
		teeth = append(teeth, t)
	}
	return teeth
}

// number returns the best run of teeth over the sizes of mouths.
func number(a Arch, jaw tooth.Jaw, anchor Anchor) (run []placed, best *numbering, score float64) {
	if a.strip == nil || (jaw != tooth.Upper && jaw != tooth.Lower) {
		return nil, nil, math.Inf(-1)
	}
	r := newRail(a.strip)
	rated := r.stretches()
	score = math.Inf(-1)
	for _, scale := range mouthScales {
		q := &numbering{r: r, rated: rated, held: a.held(jaw, r.step, anchor), stump: -1, middle: a.Middle / r.step}
		for _, n := range types(jaw) {
			q.kinds = append(q.kinds, expect(n, scale))
			if n == anchor.Number && !anchor.Whole {
				q.stump = int(math.Round(anchor.Place / r.step))
			}
		}
		p, s := q.solve()
		d := (scale - 1) / scaleSpread
		if s -= d * d / 2; s > score {
			run, best, score = p, q, s
		}
	}
	return run, best, score
}

// tooth returns the tooth at a stretch of the ridge.
func (a *Arch) tooth(n tooth.Number, p placed, step float64) Tooth {
	t := Tooth{
		Number: n, Occlusal: a.Occlusal, Confidence: p.confidence,
		From: float64(p.a) * step, To: float64(p.b) * step,
	}
	i, j := a.index(t.From), a.index(t.To)
	mid := (i + j) / 2
	t.Width = a.Ridge[i].Sub(a.Ridge[j]).Reject(a.Occlusal).Norm()
	t.Mesial, t.Buccal = a.sides(mid, n)
	t0, t1, low, high := a.strip.crown(i, j)
	t.Depth = t1 - t0
	t.Center = a.Ridge[mid].AddScaled((t0+t1)/2, a.Lingual[mid])
	t.Center = t.Center.AddScaled(high-t.Center.Dot(a.Occlusal), a.Occlusal)
	t.CuspHeight = high - low
	return t
}

// sides returns the mesial and buccal directions of tooth n at ridge point i: the
// buccal from the concave side of the arch, the mesial along the ridge in the
// sense that the quadrant has. For no number the mesial is the sense of the ridge.
func (a *Arch) sides(i int, n tooth.Number) (mesial, buccal r3.Vec) {
	along := a.Along[i]
	if q := n.Quadrant(); q == 2 || q == 4 { // the ridge runs away from the midline
		along = along.Neg()
	}
	return along, a.Lingual[i].Neg()
}

// index returns the ridge point nearest to place s.
func (a *Arch) index(s float64) int {
	return min(len(a.Ridge)-1, max(0, int(math.Round(s/a.Step))))
}

// crown returns the breadth of the crown between places i and j as distances
// across (2.5 mm below its top: about the height of contour seen from above), the
// height of the middle of its occlusal surface and of its highest point.
func (s *strip) crown(i, j int) (t0, t1, low, high float64) {
	high = math.Inf(-1)
	for x := i; x <= j; x++ {
		for k := s.row(-rowHalf); k <= s.row(rowHalf); k++ {
			if z := s.at(x, k); z > high {
				high = z
			}
		}
	}
	const below = 2.5
	t0, t1 = math.Inf(1), math.Inf(-1)
	for x := i + (j-i)/4; x <= j-(j-i)/4; x++ {
		for k := s.row(-rowHalf - 1); k <= s.row(rowHalf+1); k++ {
			if z := s.at(x, k); z > high-below {
				t0, t1 = min(t0, s.across(k)), max(t1, s.across(k))
			}
		}
	}
	if t0 > t1 {
		return 0, 0, high, high
	}
	low = high
	for x := i + (j-i)*2/5; x <= j-(j-i)*2/5; x++ {
		for k := s.row(t0 + (t1-t0)*0.4); k <= s.row(t1-(t1-t0)*0.4); k++ {
			if z := s.at(x, k); z < low {
				low = z
			}
		}
	}
	return t0, t1, low, high
}
