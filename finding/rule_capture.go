package finding

import "selvage/limit"

// missing raises needed surface that no scan shows, and parts of the arch that
// were not reached.
func (j *judge) missing(i int) {
	r := j.f.Restorations[i]
	for _, p := range r.Missing {
		if j.judgedNow(p.Region) {
			j.patch(i, p)
		}
	}
	if j.f.Stage != Final {
		return
	}
	for _, s := range r.ShortOf {
		j.raise(draft{
			code: ArchTooShort, rest: i, scan: s.Role, tooth: s.Tooth, surface: s.Side, spot: "arch",
			words: map[string]string{"arch": j.c.role(s.Role), "to": j.c.tooth(s.Tooth)},
		})
	}
}

// patch judges one missing patch by its widest extent. What is missing on the
// margin itself is a matter of the margin's own stretches.
func (j *judge) patch(i int, p Patch) {
	code, id := SurfaceMissing, limit.HoleElsewhere
	switch p.Region {
	case RegionMargin:
		return
	case RegionContact:
		code, id = ContactAreaMissing, limit.HoleContact
	case RegionPreparation:
		id = limit.HolePreparation
	case RegionOpposing:
		id = limit.HoleOpposing
	}
	row, call, level, ok := j.against("missing surface", p.Extent, id, limit.Selector{}, i)
	if !ok || call == good {
		return
	}
	d := draft{
		code: code, call: call, rest: i, tooth: p.Tooth, surface: p.Surface, value: p.Extent, row: row, level: level,
		appr: p.Approach, region: p.Region, step: stepOfRegion(p.Region), spot: "region." + string(p.Region),
		words: map[string]string{"neighbour": j.c.tooth(p.Tooth)},
	}
	if p.Extent.Place == nil {
		d.scan = RoleWorking
		if p.Region == RegionOpposing {
			d.scan = RoleOpposing
		}
	}
	j.raise(d)
}
