package check

import (
	"slices"

	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/neighbour"
	"selvage/r3"
	"selvage/tooth"
)

// beside is one of the two sides on which a neighbour may stand.
type beside struct {
	side tooth.Surface
	at   dentition.Neighbour
}

// sides returns both, mesial first.
func (r *restoration) sides() [2]beside {
	return [2]beside{{tooth.Mesial, r.prepared.Mesially}, {tooth.Distal, r.prepared.Distally}}
}

// measureNeighbours looks at the teeth beside the preparation, on the working scan,
// which shows them whole.
func (r *restoration) measureNeighbours(c *scanSet) {
	if r.margin == nil {
		return
	}
	for i, b := range r.sides() {
		if !b.at.Present {
			continue
		}
		in := neighbour.Input{
			Scan: c.working.Tree, Role: string(finding.RoleWorking), Sigma: c.working.noise(),
			Margin: r.margin.Curve(), Axis: r.direction(), Toward: r.prepared.Mesial,
			Facing: b.at.Facing, Middle: b.at.Center, Front: b.at.Number.Front(),
		}
		if b.side == tooth.Distal {
			in.Toward = in.Toward.Neg()
		}
		if d, ok := tooth.Dimensions(b.at.Number); ok {
			in.Width = d.BL
		}
		if c.before != nil && r.match.SameMouth.Measured() && !r.stranger {
			in.Before = &neighbour.Before{
				Scan: c.before.Tree, Sigma: c.before.noise(), Spacing: c.before.Spacing,
				WorkingFromBefore: r.match.WorkingFromBefore, U: r.match.U,
			}
		}
		r.neighbour[i] = neighbour.Measure(in)
	}
}

// neighbourFact is what the rules need of the neighbour on side i.
func (r *restoration) neighbourFact(i int, b beside) finding.Neighbour {
	n := &r.neighbour[i]
	out := finding.Neighbour{
		Tooth: b.at.Number, Side: b.side, Contact: r.contactLook(b.side),
		Gap: n.Gap, Bulge: n.Bulge, Damage: n.Damage,
	}
	if slices.Contains(r.others, b.at.Number) { // what was cut off it is no loss
		out.Damage = measure.Not("this tooth is prepared too")
	}
	return out
}

// neighbourReport writes the neighbours down.
func (r *restoration) neighbourReport(fr frameSet) []casefile.Neighbour {
	var out []casefile.Neighbour
	if !r.seen() {
		return nil
	}
	for i, b := range r.sides() {
		if !b.at.Present {
			continue
		}
		n := &r.neighbour[i]
		why := orText(r.why, "no margin was traced")
		m := func(v measure.Value) casefile.Measure { return fr.measure(orWhy(v, why)) }
		out = append(out, casefile.Neighbour{
			Tooth: b.at.Number.String(), Side: b.side, GapMM: m(n.Gap), SpaceMM: m(n.Space),
			BulgeMM: m(n.Bulge), HollowMM: m(n.Hollow), DamageMM: m(n.Damage),
		})
	}
	return out
}

// gumBelow is how far below the top of the preparation, mm, the crest of what stands
// beside it may lie and still be a tooth. A stump is cut 1.5 to 2 mm below its
// neighbours; the gum behind a last molar lies 3 mm lower than that.
const gumBelow = 1.0

// settleTeeth numbers the teeth of the working arch and takes back a neighbour that is
// gum: it lies low, and no tooth was told apart there. A crown needs no contact with
// it, and nothing behind the preparation holds the bite.
func (r *restoration) settleTeeth(s *Scan) {
	if !r.seen() {
		return
	}
	r.teeth = dentition.FindTeeth(s.Look.Arch, r.number.Jaw(), dentition.Anchor{Number: r.number, Place: r.prepared.Place})
	for _, n := range []*dentition.Neighbour{&r.prepared.Mesially, &r.prepared.Distally} {
		if n.Present && !told(r.teeth, n.Number) && r.rise(n.Center) < -gumBelow {
			n.Present = false
		}
	}
}

// rise is how far a point stands above the top of the preparation, mm.
func (r *restoration) rise(p r3.Vec) float64 {
	return p.Sub(r.prepared.Center).Dot(r.prepared.Occlusal)
}

// told reports whether a tooth was told apart.
func told(teeth []dentition.Tooth, n tooth.Number) bool {
	for _, t := range teeth {
		if t.Number == n {
			return true
		}
	}
	return false
}

// pair tells every restoration which other teeth of its arch are prepared too: two
// crowns side by side are made to each other, and the stump beside one is no contact.
func pair(rs []*restoration) {
	for _, r := range rs {
		for _, o := range rs {
			if o != r && o.number != r.number && o.number.Jaw() == r.number.Jaw() {
				r.others = append(r.others, o.number)
			}
		}
	}
}
