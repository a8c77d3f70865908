package check

import (
	"math"

	"selvage/curve"
	"selvage/finding"
	"selvage/limit"
	"selvage/occlusion"
	"selvage/tooth"
)

// measureMovement estimates the room that is left when the jaw slides forward and to
// both sides, with the average articulator values of the table of limits. No more
// than a note rests on it.
func (r *restoration) measureMovement(c *scanSet, t limit.Table) {
	if r.clearanceWhy != "" {
		r.movementWhy = r.clearanceWhy
		return
	}
	r.movement = occlusion.Move(occlusion.MovementInput{
		ClearanceInput: r.clearanceInput(c),
		Jaw:            occlusion.JawAt(r.number, r.prepared.Center, r.prepared.Mesial, r.prepared.Occlusal),
		Lower:          r.number.Jaw() == tooth.Lower,
		Guidance:       guidance(t),
	})
	if !r.movement.PatchMin.Measured() {
		r.movementWhy = r.movement.PatchMin.Why
	}
}

// guidance reads the articulator's values from the table of limits; a row that a
// practice has left out is the average.
func guidance(t limit.Table) occlusion.Guidance {
	rad := func(id limit.ID) float64 { return t.Setting(id) * math.Pi / 180 }
	return occlusion.Guidance{
		Condyle: rad(limit.CondylarGuidance), Bennett: rad(limit.BennettAngle),
		Incisal: rad(limit.IncisalGuidance), Canine: rad(limit.CanineGuidance),
		Bonwill: t.Setting(limit.BonwillSide), Balkwill: rad(limit.BalkwillAngle),
		Path: t.Setting(limit.CondylarPath),
	}
}

// movements are the zones' least room in movement, for the rules.
func (r *restoration) movements() []finding.Room {
	var out []finding.Room
	for z, v := range r.movement.Zones {
		if v.Measured() {
			out = append(out, finding.Room{Zone: r.zoneOf(occlusion.Zone(z)), Least: v, Patch: v, Surface: r.cuspOf(v)})
		}
	}
	return out
}

// clearanceInput is what clearance, at rest and in movement, is measured from.
func (r *restoration) clearanceInput(c *scanSet) occlusion.ClearanceInput {
	line := curve.Polyline{Pts: r.margin.Curve(), Closed: true}
	if r.inside == nil {
		r.inside = occlusion.InsideMargin(r.source.Mesh, r.source.Topo, line, r.direction())
	}
	return occlusion.ClearanceInput{
		Prep: r.source.Mesh, Topo: r.source.Topo, Inside: r.inside, Margin: line,
		Axis: r.direction(), Opposing: c.opposing.Tree, Holding: r.holding(), Front: r.number.Front(),
		Scan: string(r.source.Role),
		Options: occlusion.ClearanceOptions{
			PrepSigma: r.source.noise(), OpposingSigma: c.opposing.noise(), RegisterU: r.source.MovedU,
			BiteU: r.bite.Worth(r.prepared.Occlusal, r.number.Front()),
		},
	}
}
