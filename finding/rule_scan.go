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
