package finding

import (
	"strconv"

	"selvage/limit"
)

// scans raises what each file says about itself: units, noise, loose pieces,
// doubled and invented surface.
func (j *judge) scans() {
	pieces, gaps := 0, 0
	for _, s := range j.f.Scans {
		if s.Fault != "" {
			continue
		}
		pieces, gaps = pieces+s.Fragments, gaps+s.Gaps
		words := map[string]string{"file": s.File, "units": s.UnitsUsed, "said": s.TypeSaid, "is": s.TypeFound}
		if s.UnitsDoubt {
			j.raise(draft{code: UnitsUnlikely, rest: wholeCase, scan: s.Role, words: words})
		}
		if s.TypeFound != "" && s.TypeFound != s.TypeSaid {
			j.raise(draft{code: FileTypeDiffers, rest: wholeCase, scan: s.Role, words: words})
		}
		if j.broken[s.Role] {
			continue
		}
		j.noise(s)
		j.sheets(s)
	}
	if pieces+gaps > 0 {
		j.raise(draft{code: Fragments, rest: wholeCase, words: map[string]string{
			"pieces": strconv.Itoa(pieces), "gaps": strconv.Itoa(gaps),
		}})
	}
}

func (j *judge) noise(s Scan) {
	row, call, level, ok := j.against("noise", s.Noise, limit.Noise, limit.Selector{}, wholeCase)
	if ok && call != good {
		j.raise(draft{code: SurfaceNoisy, call: call, rest: wholeCase, scan: s.Role, value: s.Noise, row: row, level: level})
	}
}

// sheets raises doubled and invented surface that lies on needed surface. At the
// preparation stage margin and contact areas are not judged.
func (j *judge) sheets(s Scan) {
	for _, list := range []struct {
		code    Code
		id      limit.ID
		patches []Patch
	}{{SurfaceDoubled, limit.Doubled, s.Doubled}, {SurfaceInvented, limit.Invented, s.Invented}} {
		for _, p := range list.patches {
			if p.Region == "" || !j.judgedNow(p.Region) {
				continue
			}
			row, call, level, ok := j.against("surface area", p.Area, list.id, limit.Selector{}, wholeCase)
			if !ok || call == good {
				continue
			}
			j.raise(draft{
				code: list.code, call: call, rest: wholeCase, scan: s.Role, tooth: p.Tooth, surface: p.Surface,
				value: p.Area, row: row, level: level, appr: p.Approach, step: stepOfRegion(p.Region),
				region: p.Region, spot: "region." + string(p.Region),
			})
		}
	}
}

// judgedNow reports whether surface of a region is judged at this stage.
func (j *judge) judgedNow(r Region) bool {
	return j.f.Stage == Final || r == RegionPreparation || r == RegionOpposing
}

// stepOfRegion returns the step at which wanting surface decides: measures rest on
// the preparation and the opposing teeth.
func stepOfRegion(r Region) int {
	if r == RegionPreparation || r == RegionOpposing {
		return stepRests
	}
	return stepCapture
}

// doubtful reports whether a region of a scan holds doubled or invented surface
// that was raised.
func (j *judge) doubtful(role Role, region Region) bool {
	for _, f := range j.out {
		if (f.Code == SurfaceDoubled || f.Code == SurfaceInvented) && f.Action != Note &&
			f.Scan == role && f.region == region {
			return true
		}
	}
	return false
}

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
