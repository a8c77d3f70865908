package check

import (
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/neighbour"
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
		if c.before != nil && r.match.SameMouth.Measured() {
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
	return finding.Neighbour{
		Tooth: b.at.Number, Side: b.side, Contact: r.contactLook(b.side),
		Gap: n.Gap, Bulge: n.Bulge, Damage: n.Damage,
	}
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
