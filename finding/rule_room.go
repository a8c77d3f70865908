package finding

import (
	"selvage/limit"
	"selvage/tooth"
)

// room judges clearance, reduction and the room in movement of restoration i.
func (j *judge) room(i int) {
	r := j.f.Restorations[i]
	arch := j.doubtful(RoleWorking, RegionPreparation) || j.doubtful(RolePreparation, RegionPreparation)
	if !j.shaky && !arch && !j.broken[RoleOpposing] && !j.doubtful(RoleOpposing, RegionOpposing) {
		j.rooms(i, ClearanceLow, "clearance_patch_min_mm", r.Clearance, j.t.Clearance)
		j.rooms(i, ClearanceInMovement, "clearance_in_movement_min_mm", r.Movement, j.t.Clearance)
	}
	if !arch && !j.broken[RoleBefore] {
		j.rooms(i, ReductionLow, "reduction_occlusal_min_mm", r.Reduction, j.t.Minimum)
	}
}

// rooms judges one kind of room zone by zone. The patch is judged, never the
// single point. Every zone that is too small, or too close to call, is a finding;
// of those that are only below the advised value, the worst one.
func (j *judge) rooms(i int, code Code, name string, rooms []Room, find func(limit.Selector) (limit.Row, bool)) {
	p := j.f.Restorations[i].Prescription
	var advised draft
	worst := 0.0
	for _, room := range rooms {
		if !room.Patch.Measured() {
			continue
		}
		loose, strict, ok := span(p, room.Zone, string(p.Tooth.Class()), find)
		if !ok {
			j.noLimit(i, name, p)
			continue
		}
		row, call, level, undecided, ok := holdSpan(room.Patch, loose, strict)
		switch {
		case !ok:
			j.wrongUnit(name, room.Patch, strict.Unit, i)
			continue
		case undecided && code != ClearanceInMovement:
			j.noLimit(i, name, p)
			continue
		case undecided || call == good:
			continue
		case code == ClearanceInMovement && !j.newInMovement(i, room, call, level, row):
			continue
		}
		d := draft{
			code: code, call: call, rest: i, tooth: p.Tooth, surface: zoneSurface(room.Zone, room.Surface, p.Tooth),
			value: room.Patch, row: row, level: level, spot: zoneSpot(room.Zone),
			words: map[string]string{"material": j.c.material(p.Material)},
		}
		if code == ClearanceLow && call != Advised && j.reducedEnough(i, room.Zone) {
			d.variant = "reduced"
		}
		if call != Advised {
			j.raise(d)
			continue
		}
		x, _, _ := in(room.Patch, row.Unit) // held above
		if s := severity(x, level, row.Bad); advised.code == "" || s > worst {
			advised, worst = d, s
		}
	}
	if advised.code != "" {
		j.raise(advised)
	}
}

// newInMovement reports whether room in movement is worth a note: average values are
// good for one where the room is below the limit, not where it only might be, and it says
// nothing new of a zone whose room at rest is too small already.
func (j *judge) newInMovement(i int, room Room, call Call, level float64, row limit.Row) bool {
	x, _, _ := in(room.Patch, row.Unit) // held by the caller
	if call == TooClose && excess(x, level, row.Bad) < 0 {
		return false
	}
	r := j.f.Restorations[i]
	for _, rest := range r.Clearance {
		if rest.Zone != room.Zone || !rest.Patch.Measured() {
			continue
		}
		_, strict, ok := span(r.Prescription, rest.Zone, string(r.Prescription.Tooth.Class()), j.t.Clearance)
		if !ok {
			continue
		}
		if call, _, ok := hold(rest.Patch, strict); ok && (call == Proven || call == TooClose) {
			return false
		}
	}
	return true
}

// reducedEnough reports whether the reduction in a zone was measured and is proven
// to be enough for the material: then a small clearance points to the bite or to
// an overgrown opposing tooth.
func (j *judge) reducedEnough(i int, z limit.Zone) bool {
	r := j.f.Restorations[i]
	for _, room := range r.Reduction {
		if room.Zone != z || !room.Patch.Measured() {
			continue
		}
		_, strict, ok := span(r.Prescription, z, string(r.Prescription.Tooth.Class()), j.t.Minimum)
		if !ok {
			return false
		}
		call, _, ok := hold(room.Patch, strict)
		return ok && (call == good || call == Advised)
	}
	return false
}

// noLimit records that a measure was made but has no limit to be held against,
// because the prescription leaves something out.
func (j *judge) noLimit(i int, name string, p Prescription) {
	key := "why.no-limit"
	switch {
	case p.Material == "":
		key = "why.no-material"
	case p.Cement == "":
		key = "why.no-cement"
	}
	for _, a := range j.absent {
		if a.Restoration == i && a.Measure == name {
			return
		}
	}
	j.absent = append(j.absent, Absent{Restoration: i, Measure: name, Why: j.c.text(key, map[string]string{"name": j.c.measure(name)})})
}

// zoneSpot returns the key of the words for the place of a zone.
func zoneSpot(z limit.Zone) string { return "zone." + string(z) }

// zoneSurface returns the side of tooth n on which a value in a zone was found. A
// cusp has a buccal or a lingual side: where the scan says only mesial, distal or
// nothing, the usual side of the zone is added.
func zoneSurface(z limit.Zone, given tooth.Surface, n tooth.Number) tooth.Surface {
	side, isCusp := usualSide(z, n)
	switch {
	case !isCusp && given != "":
		return given
	case given == tooth.Mesial && side == tooth.Buccal:
		return tooth.Mesiobuccal
	case given == tooth.Mesial:
		return tooth.Mesiolingual
	case given == tooth.Distal && side == tooth.Buccal:
		return tooth.Distobuccal
	case given == tooth.Distal:
		return tooth.Distolingual
	case given == "" || given == tooth.Occlusal:
		return side
	default:
		return given
	}
}

// usualSide returns the side on which a zone normally lies, and whether it is a
// zone of cusps.
func usualSide(z limit.Zone, n tooth.Number) (side tooth.Surface, isCusp bool) {
	switch {
	case z == limit.Functional:
		return n.FunctionalSide(), true
	case z == limit.NonFunctional && n.FunctionalSide() == tooth.Buccal:
		return tooth.Lingual, true
	case z == limit.NonFunctional:
		return tooth.Buccal, true
	case z == limit.LingualFront:
		return tooth.Lingual, false
	default:
		return tooth.Occlusal, false
	}
}
