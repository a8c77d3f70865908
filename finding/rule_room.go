package finding

import (
	"selvage/limit"
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
		}
		d := draft{
			code: code, call: call, rest: i, tooth: p.Tooth, surface: zoneSurface(room.Zone, room.Surface, p.Tooth),
			value: room.Patch, row: row, level: level, spot: zoneSpot(room.Zone),
			words: map[string]string{"material": j.c.material(p.Material)},
		}
		if code == ClearanceLow && j.reducedEnough(i, room.Zone) {
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
