package check

import (
	"cmp"
	"math"
	"slices"

	"selvage/coverage"
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/measure"
	"selvage/mesh"
	"selvage/neighbour"
	"selvage/occlusion"
	"selvage/prep"
	"selvage/prep/axis"
	"selvage/prep/edge"
	"selvage/prep/margin"
	"selvage/prep/path"
	"selvage/prep/reduction"
	"selvage/prep/undercut"
	"selvage/prep/wall"
	"selvage/r3"
	"selvage/tooth"
)

// restoration is one prepared tooth on its way through the analyses.
type restoration struct {
	order  casefile.Restoration
	number tooth.Number

	prepared dentition.Prepared
	teeth    []dentition.Tooth // of the working arch, as far as they were told apart
	others   []tooth.Number    // other prepared teeth of the same arch
	tried    []tooth.Number    // with shim stock; teeth of the working arch that stand where it shows them, in the order of bite.Others
	source   *Scan             // the scan that the preparation is measured on
	why      string

	prep     *prep.Preparation
	margin   *prep.Margin
	axis     axis.Result
	wall     wall.Result
	undercut undercut.Result
	shade    []ShadowAt // of undercut, for pictures
	finish   margin.Finish
	below    margin.Below
	rough    measure.Value
	spacing  measure.Value // of the mesh along the margin
	edge     edge.Result
	coloured measure.Value
	hand     byHand
	path     path.Result

	bite      occlusion.Result
	inside    []mesh.FaceID // the margin, of source; nil until room is measured
	clearance occlusion.ClearanceResult
	movement  occlusion.MovementResult
	reduction reduction.Result
	match     reduction.Match
	same      reduction.Sameness
	met       bool                // the opposing arch was brought to the bite that the record shows
	stranger  bool                // the scan from before is proven to be of another mouth
	neighbour [2]neighbour.Result // mesial, distal

	clearanceWhy, reductionWhy, movementWhy string
	coverage                                coverage.Result
	coverageWhy                             string
}

// seen reports whether a prepared tooth stands where its number says.
func (r *restoration) seen() bool { return r.prepared.Sighting == dentition.Seen }

// rounds of tracing: each cuts the profiles about the axis and centre that the
// round before found. Two settle both to a hundredth of a degree on phantoms; the
// third only serves a start that was far off.
const rounds = 3

// trace finds the margin and the axis of one preparation, from the occlusal
// direction and the middle of its top.
func (r *restoration) trace(s *Scan) {
	r.source = s
	up := r.prepared.Occlusal
	p := prep.CutOut(s.Mesh, s.Topo, r.prepared.Center, up, r.prepared.Mesial, r.prepared.Buccal)
	p.Noise, p.Spacing, p.Scan = s.noise(), s.Spacing, string(s.Role)
	o := margin.Options{KnifeEdge: string(r.order.FinishLine) == string(margin.KnifeEdge), Coarse: true}
	for round := range rounds {
		fan, ok := cutNear(p)
		if !ok {
			r.why = "the middle of the preparation is not to be seen"
			return
		}
		p = fan.Prep
		m, ok := margin.Detect(fan, o)
		if !ok {
			r.why = "no wall of a preparation is to be seen"
			return
		}
		r.prep, r.margin = p, m
		r.axis = axis.Find(m)
		if !r.axis.OK || round == rounds-1 {
			break
		}
		if p.Axis.Angle(r.axis.Axis) < settled && m.Centroid().Sub(p.Center).Reject(p.Axis).Norm() < settledAt {
			break
		}
		next := onAxis(p, m.Centroid(), r.axis.Axis)
		if next.Sub(r.prepared.Center).Reject(up).Norm() > r.astray() {
			next = p.Center // the line took in a neighbour that leans over
		}
		p = p.WithAxis(r.axis.Axis, next)
	}
	margin.Complete(r.margin)
	if why := margin.Implausible(r.margin, r.usualWidth(), r.axis.OK); why != "" {
		r.why, r.margin, r.axis = why, nil, axis.Result{}
		return
	}
	o.Coarse = false
	r.centre(o)
	if r.axis.OK && r.axis.Axis.Angle(up) > mostLean {
		r.axis = axis.Result{Coverage: r.axis.Coverage, Why: "the walls point far from the way the tooth stands: what was taken for them may be something else"}
	}
	r.holdByHand()
}

// astray is how far from the middle of what was taken for the tooth, mm, the middle of its
// finish line may lie: a quarter of its width. The top of a stump is seldom as much as a
// millimetre beside it, a neighbour's middle a whole width.
func (r *restoration) astray() float64 { return cmp.Or(r.usualWidth(), astrayUsual) / 4 }

// astrayUsual stands in for the width of a tooth that is not known, mm.
const astrayUsual = 8.0

// mostLean is the angle between the insertion axis and the occlusal direction beyond which
// the axis is not believed: tipped molars lean by up to 30°, and the occlusal direction is
// known to about 10°.
const mostLean = 40 * math.Pi / 180

// usualWidth is the mean of the tooth's two usual widths, mm; 0 where it is not known.
func (r *restoration) usualWidth() float64 {
	d, ok := tooth.Dimensions(r.number)
	if !ok {
		return 0
	}
	return (d.MD + d.BL) / 2
}

// cutNear cuts the fan about the preparation's centre or, where the axis meets a hole
// there, about the nearest of a few places beside it: an incisal edge is narrow, and
// its middle may be missing.
func cutNear(p *prep.Preparation) (*prep.Fan, bool) {
	if fan, ok := prep.Cut(p); ok {
		return fan, true
	}
	e1, e2 := p.Axis.Basis()
	for _, d := range []float64{0.5, 1, 1.5} {
		for k := range 8 {
			s, c := math.Sincos(float64(k) * math.Pi / 4)
			if fan, ok := prep.Cut(p.WithAxis(p.Axis, p.Center.AddScaled(d*c, e1).AddScaled(d*s, e2))); ok {
				return fan, true
			}
		}
	}
	return nil, false
}

// A round that moves the axis by less than a twentieth of a degree and the centre
// by less than 0.05 mm is the last.
const (
	settled   = 0.05 * math.Pi / 180
	settledAt = 0.05
)

// centre cuts the profiles once more where the finished line has its centroid elsewhere
// than the last round took it: through another point the same wall has another taper in
// its half-plane, by half a degree at the rounded end of a premolar 0.4 mm off. A line
// of which less is sound than before is not taken.
func (r *restoration) centre(o margin.Options) {
	if !r.axis.OK || r.margin.Centroid().Sub(r.prep.Center).Reject(r.prep.Axis).Norm() < centredAt {
		return
	}
	fan, ok := prep.Cut(r.prep.WithAxis(r.axis.Axis, onAxis(r.prep, r.margin.Centroid(), r.axis.Axis)))
	if !ok {
		return
	}
	m, ok := margin.Detect(fan, o)
	if !ok || sound(m) < sound(r.margin) {
		return
	}
	if a := axis.Find(m); a.OK {
		r.prep, r.margin, r.axis = fan.Prep, m, a
	}
}

// sound counts the points of a line that are neither unclear nor beyond the data.
func sound(m *prep.Margin) int {
	n := 0
	for i := range m.Points {
		if s := m.Points[i].State; s != prep.Unclear && s != prep.NotCaptured {
			n++
		}
	}
	return n
}

// centredAt is how far, in mm, the profiles may be cut beside the finished line's
// centroid.
const centredAt = 0.08

// onAxis returns the point of the line through c along axis that is nearest to the
// preparation's old centre, so that the cut-out stays where it is.
func onAxis(p *prep.Preparation, c, axis r3.Vec) r3.Vec {
	return c.AddScaled(p.Center.Sub(c).Dot(axis), axis)
}

// measurePrep fills the measures that need only the preparation itself.
func (r *restoration) measurePrep(t limit.Table) {
	if r.margin == nil {
		return
	}
	r.finish = margin.Describe(r.margin)
	r.below = margin.Beyond(r.margin)
	r.rough = margin.Roughness(r.margin)
	r.spacing = r.marginSpacing()
	r.coloured = margin.Coloured(r.margin)
	r.edge = edge.Measure(r.margin, edge.Options{Tool: t.Setting(limit.ToolRadius)})
	if r.axis.OK {
		r.wall = wall.Measure(r.margin)
		r.undercut = undercut.Measure(r.margin, undercut.Options{NearMargin: t.Setting(limit.UndercutNearMargin)})
	}
}

// direction returns the insertion axis, or the occlusal direction where it was not
// found.
func (r *restoration) direction() r3.Vec {
	if r.axis.OK {
		return r.axis.Axis
	}
	return r.prepared.Occlusal
}

// surface names the sector of the tooth on which a point of the source lies.
func (r *restoration) surface(at r3.Vec) tooth.Surface {
	if r.margin == nil {
		return ""
	}
	d := at.Sub(r.margin.Centroid()).Reject(r.direction())
	return tooth.SectorOf(d.Dot(r.prep.Mesial), d.Dot(r.prep.Buccal))
}

// face names the nearest of the four sides.
func (r *restoration) face(q wall.Quarter) tooth.Surface {
	return [...]tooth.Surface{tooth.Mesial, tooth.Buccal, tooth.Distal, tooth.Lingual}[q]
}

// holding is the direction of the functional cusps across the tooth.
func (r *restoration) holding() r3.Vec {
	b := r.prepared.Buccal
	if h := r.bite.HoldingSide; h.Measured() && (h.V > h.U || h.V < -h.U) {
		if h.V < 0 {
			return b.Neg()
		}
		return b
	}
	if r.number.FunctionalSide() == tooth.Lingual {
		return b.Neg()
	}
	return b
}

// neighbours lists the teeth beside the preparation that are there.
func (r *restoration) neighbours() []occlusion.Neighbour {
	var out []occlusion.Neighbour
	for i, n := range []dentition.Neighbour{r.prepared.Mesially, r.prepared.Distally} {
		if !n.Present {
			continue
		}
		o := occlusion.Neighbour{Side: occlusion.Side(i), Centre: n.Center}
		if d, ok := tooth.Dimensions(n.Number); ok {
			o.Radius = d.MD / 2
		}
		out = append(out, o)
	}
	return out
}

// triedTeeth lists the teeth of the working arch, other than the prepared ones and those
// beside this one, that were tried with shim stock, and keeps their numbers.
func (r *restoration) triedTeeth() []occlusion.Neighbour {
	var out []occlusion.Neighbour
	var numbers []tooth.Number
	for _, t := range r.teeth {
		beside := t.Number == r.prepared.Mesially.Number || t.Number == r.prepared.Distally.Number
		if beside || t.Number == r.number || slices.Contains(r.others, t.Number) || !slices.Contains(r.tried, t.Number) {
			continue
		}
		numbers = append(numbers, t.Number)
		out = append(out, occlusion.Neighbour{Centre: t.Center, Radius: t.Width / 2})
	}
	r.tried = numbers
	return out
}

// prescription is what the judgement needs of the order.
func (r *restoration) prescription() finding.Prescription {
	return finding.Prescription{
		Tooth: r.number, Kind: string(r.order.Kind), Material: r.order.Material, Cement: r.order.Cement,
		FinishLine: r.order.FinishLine, MadeBy: string(r.order.MadeBy), Missing: missingFields(r.order),
	}
}
