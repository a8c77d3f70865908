package study

import (
	"math"

	"selvage/finding"
	"selvage/limit"
	"selvage/phantom"
)

// stretchNear is how far beyond both their ends two stretches may lie apart, mm, to be one.
const stretchNear = 0.3

// endsU is the uncertainty, mm, of the length of a stretch or hole that nobody reported:
// that of a length along the line, two ends. Where no line was traced it is that at a
// spacing of 0.1 mm.
func endsU(r finding.Restoration) float64 {
	if l := r.Margin.Length; l.Measured() {
		return l.U
	}
	return 0.16
}

// stretchesClose reports whether no answer about the doubtful stretches of a state is
// wrong. Stretches are compared one by one where they lie: that one of them is too close to
// call excuses nothing that was missed or invented elsewhere.
//
//   - Where stretches are truly longer than their limit, each of them is within the
//     uncertainty of it;
//   - where none is, each that was reported is within the uncertainty of what
//     is truly there, or of nothing.
func stretchesClose(state finding.StretchState, truth []phantom.Stretch, r finding.Restoration, table limit.Table) bool {
	code := limit.MarginUnclear
	if state == finding.NotCaptured {
		code = limit.MarginNotCaptured
	}
	most := func(corner bool) float64 {
		id := code
		if corner {
			id = limit.MarginLineAngle
		}
		row, _ := table.Find(id, limit.Selector{})
		return row.Flag.V
	}
	due, near := false, true
	for _, s := range truth {
		if s.State != string(state) || s.LengthMm <= most(s.Corner) {
			continue
		}
		due = true
		u := endsU(r)
		for _, m := range r.Margin.Stretches {
			if m.State == state && sameStretch(m, s) {
				u = math.Max(u, m.Length.U)
			}
		}
		near = near && s.LengthMm-most(s.Corner) <= u
	}
	if due {
		return near
	}
	raised := false
	for _, m := range r.Margin.Stretches {
		if m.State != state || m.Length.V+m.Length.U <= most(m.LineAngle) {
			continue
		}
		raised = true
		longest := 0.0
		for _, s := range truth {
			if s.State == string(state) && sameStretch(m, s) {
				longest = math.Max(longest, s.LengthMm)
			}
		}
		near = near && most(m.LineAngle)-longest <= m.Length.U
	}
	return raised && near
}

// sameStretch reports whether a measured and a true stretch touch.
func sameStretch(m finding.Stretch, s phantom.Stretch) bool {
	return m.Length.Place != nil && m.Length.Place.At.Dist(s.At.Vec()) <= (m.Length.V+s.LengthMm)/2+stretchNear
}
