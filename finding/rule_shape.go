package finding

import (
	"selvage/limit"
	"selvage/measure"
)

// restoration judges what was measured on one prepared tooth.
func (j *judge) restoration(i int) {
	if j.broken[RoleWorking] || j.broken[RolePreparation] || j.wrongTooth(i) {
		return
	}
	j.missing(i)
	j.room(i)
	j.undercut(i)
	j.path(i)
	j.walls(i)
	j.neighbours(i)
	if j.f.Stage == Final {
		j.margin(i)
		j.finishLine(i)
	}
	j.strength(i)
}

// undercut flags what is deep and wide, both proven, and whatever is proven near
// the margin. Below the noise rule (advise levels) nothing is said; between the
// two the laboratory blocks it out, a note.
func (j *judge) undercut(i int) {
	r, u := j.f.Restorations[i], j.f.Restorations[i].Undercut
	if j.doubtful(RoleWorking, RegionPreparation) || j.doubtful(RolePreparation, RegionPreparation) {
		return
	}
	row, deep, level, ok := j.against("undercut_depth_max_mm", u.Depth, limit.UndercutDepth, limit.Selector{}, i)
	if !ok {
		return
	}
	areaRow, wide, _, ok := j.against("undercut_area_mm2", u.Area, limit.UndercutArea, limit.Selector{}, i)
	if !ok {
		return
	}
	d := draft{code: Undercut, rest: i, tooth: r.Prescription.Tooth, surface: u.Surface, value: u.Depth, row: row}
	switch {
	case j.f.Stage == Final && provenUndercut(u.NearDepth, u.NearArea, row, areaRow):
		d.variant, d.call, d.value, d.level = "near-margin", Proven, u.NearDepth, row.Advise.V
	default:
		d.call, d.level = both(deep, wide), level
		if d.call == Advised && !provenUndercut(u.Depth, u.Area, row, areaRow) {
			return
		}
		if d.call == Advised {
			d.variant, d.level = "shallow", row.Advise.V
			if weight(deep) > weight(Advised) {
				d.variant = "small" // deep enough to act on, over too little area
			}
		}
	}
	if d.call != good {
		j.raise(d)
	}
}

// provenUndercut is the noise rule: deeper than the advise level, deeper than its
// own uncertainty, and wider than the advise level of the area. Shadows of noise
// are neither.
func provenUndercut(depth, area measure.Value, depthRow, areaRow limit.Row) bool {
	if !depth.Measured() || !area.Measured() {
		return false
	}
	d, u, ok1 := in(depth, depthRow.Unit)
	a, _, ok2 := in(area, areaRow.Unit)
	return ok1 && ok2 && d > u && d > depthRow.Advise.V && a > areaRow.Advise.V
}

func (j *judge) path(i int) {
	r := j.f.Restorations[i]
	row, call, level, ok := j.against("path_overlap_mm", r.Path.Overlap, limit.PathOverlap, limit.Selector{}, i)
	if !ok || call == good {
		return
	}
	d := draft{
		code: PathBlocked, call: call, rest: i, tooth: r.Path.Neighbour, value: r.Path.Overlap, row: row, level: level,
		appr: r.Path.Free, spot: "neighbour", words: map[string]string{"neighbour": j.c.tooth(r.Path.Neighbour)},
	}
	if r.Path.Free != nil {
		d.variant = "tilt"
		d.words["tilt"] = degrees(r.Path.Free.Tilt)
	}
	j.raise(d)
}

// walls notes taper, height and sharp edges; only resistance asks for the dentist,
// and only where conventional cement leaves the holding to the form.
func (j *judge) walls(i int) {
	r := j.f.Restorations[i]
	n := r.Prescription.Tooth
	j.simple(i, ConvergenceHigh, "", r.ConvergenceMean, limit.ConvergenceHigh)
	low := r.ConvergenceMD
	if !low.Measured() || r.ConvergenceBL.Measured() && r.ConvergenceBL.V < low.V {
		low = r.ConvergenceBL
	}
	j.simple(i, ConvergenceLow, "", low, limit.ConvergenceLow)

	before := len(j.out)
	q := limit.Selector{Class: string(n.Class())}
	if row, call, level, ok := j.against("wall_height_min_mm", r.WallHeight, limit.WallHeight, q, i); ok && call != good {
		j.raise(draft{code: WallsShort, call: call, rest: i, tooth: n, surface: r.WallSurface, value: r.WallHeight, row: row, level: level})
	}
	if len(j.out) == before {
		j.simple(i, WallsShort, "ratio", r.HeightToBase, limit.HeightToBase)
	}
	j.simple(i, SharpEdge, "", r.SharpEdge, limit.SharpEdge)
	j.resistance(i)
}

func (j *judge) resistance(i int) {
	r := j.f.Restorations[i]
	cement := r.Prescription.Cement
	row, call, level, ok := j.against("resistance", r.Resistance, limit.Resistance, limit.Selector{}, i)
	if !ok || call == good || cement == limit.Adhesive {
		return
	}
	d := draft{code: ResistanceLow, call: call, rest: i, tooth: r.Prescription.Tooth, value: r.Resistance, row: row, level: level, spot: "preparation"}
	if cement == "" {
		d.variant, d.action = "cement-unknown", Note
	}
	j.raise(d)
}

// simple raises a code if a value of restoration i is beyond one limit.
func (j *judge) simple(i int, code Code, variant string, v measure.Value, id limit.ID) {
	row, call, level, ok := j.against(string(code), v, id, limit.Selector{}, i)
	if ok && call != good {
		j.raise(draft{
			code: code, variant: variant, call: call, rest: i, tooth: j.f.Restorations[i].Prescription.Tooth,
			value: v, row: row, level: level, spot: "preparation",
		})
	}
}

// neighbours judges the teeth beside the gap.
func (j *judge) neighbours(i int) {
	for _, nb := range j.f.Restorations[i].Neighbours {
		for _, c := range []struct {
			code Code
			v    measure.Value
			id   limit.ID
		}{
			{GapNarrow, nb.Gap, limit.GapToNeighbour},
			{NeighbourContour, nb.Bulge, limit.NeighbourBulge},
			{NeighbourDamaged, nb.Damage, limit.NeighbourLoss},
		} {
			if c.code == NeighbourDamaged && j.broken[RoleBefore] {
				continue
			}
			row, call, level, ok := j.against(string(c.code), c.v, c.id, limit.Selector{}, i)
			if !ok || call == good {
				continue
			}
			j.raise(draft{
				code: c.code, call: call, rest: i, tooth: nb.Tooth, surface: nb.Side, value: c.v, row: row, level: level,
				spot: "neighbour", words: map[string]string{"neighbour": j.c.tooth(nb.Tooth)},
			})
		}
	}
}

// strength holds the material's strength against the cement (ISO 6872).
func (j *judge) strength(i int) {
	p := j.f.Restorations[i].Prescription
	reached, ok := j.t.Find(limit.MaterialReaches, limit.Selector{Material: p.Material})
	if !ok || p.Cement == "" {
		return
	}
	need, ok := j.t.Find(limit.Strength, limit.Selector{Cement: p.Cement})
	if !ok || !need.Flag.Beyond(need.Bad, reached.Flag.V) {
		return
	}
	j.raise(draft{code: CeramicWeak, rest: i, tooth: p.Tooth, row: need, level: need.Flag.V, spot: "preparation", words: map[string]string{
		"material": j.c.material(p.Material), "strength": j.c.number(reached.Flag.V), "need": j.c.number(need.Flag.V),
	}})
}
