package finding

import (
	"strconv"

	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// tries after which scanning again is no longer the advice for a stretch.
const tries = 2

// margin judges the line as traced. Final stage only.
func (j *judge) margin(i int) {
	m := j.f.Restorations[i].Margin
	j.stretches(i, m.Stretches)
	for _, s := range m.TwoLines {
		row, call, level, ok := j.against("margin", s.Apart, limit.MarginTwoLines, limit.Selector{}, i)
		if ok && call != good {
			j.raise(j.stretch(i, s, draft{code: MarginTwoLines, call: call, value: s.Apart, row: row, level: level}))
		}
	}
	j.onLine(i, MarginRough, m.Rough, limit.MarginRough, "")
	j.onLine(i, RootNotSeen, m.RootBelow, limit.RootNotSeen, m.RootSide)
	j.onLine(i, SulcusNarrow, m.Sulcus, limit.SulcusNarrow, m.SulcusAt)
	j.onLine(i, SamplingCoarse, m.Spacing, limit.SamplingCoarse, "")
	j.onLine(i, ContrastColour, m.Coloured, limit.ContrastColour, "")
}

// onLine raises a code if a value of the margin is beyond one limit.
func (j *judge) onLine(i int, code Code, v measure.Value, id limit.ID, s tooth.Surface) {
	row, call, level, ok := j.against(string(code), v, id, limit.Selector{}, i)
	if ok && call != good {
		j.raise(draft{
			code: code, call: call, rest: i, tooth: j.f.Restorations[i].Prescription.Tooth, surface: s,
			value: v, row: row, level: level, spot: "margin",
		})
	}
}

// stretches raises each doubtful stretch that is too long, by a shorter limit at a
// line angle, and one note for those that are bridged.
func (j *judge) stretches(i int, list []Stretch) {
	var bridged []Stretch
	for _, s := range list {
		code, id := MarginUnclear, limit.MarginUnclear
		if s.State == NotCaptured {
			code, id = MarginNotCaptured, limit.MarginNotCaptured
		}
		if s.LineAngle {
			id = limit.MarginLineAngle
		}
		row, call, level, ok := j.against("margin", s.Length, id, limit.Selector{}, i)
		switch {
		case !ok:
			continue
		case call == good:
			bridged = append(bridged, s)
			continue
		}
		j.raise(j.stretch(i, s, draft{code: code, call: call, value: s.Length, row: row, level: level}))
	}
	j.bridged(i, bridged)
}

// allRound is the share of the margin from which a stretch has no one side: more
// than two of the four.
const allRound = 0.6

// stretch fills in what all findings on a stretch share. After two tries the
// advice changes from scanning again to what the dentist can choose.
func (j *judge) stretch(i int, s Stretch, d draft) draft {
	d.rest, d.tooth, d.surface = i, j.f.Restorations[i].Prescription.Tooth, s.Surface
	d.place, d.appr, d.spot = s.Length.Place, s.Approach, "margin"
	if whole := j.f.Restorations[i].Margin.Length; whole.Measured() && s.Length.V > allRound*whole.V {
		d.surface, d.spot = "", "margin-all-round"
	}
	if s.Tries >= tries {
		d.variant, d.action = "tried", AskDentist
		d.words = map[string]string{"tries": strconv.Itoa(s.Tries)}
	}
	return d
}

func (j *judge) bridged(i int, list []Stretch) {
	if len(list) == 0 {
		return
	}
	total, u := 0.0, 0.0
	worst := list[0]
	for _, s := range list {
		total, u = total+s.Length.V, u+s.Length.U
		if s.Length.V > worst.Length.V {
			worst = s
		}
	}
	code, id := MarginUnclear, limit.MarginUnclear
	if worst.State == NotCaptured {
		code, id = MarginNotCaptured, limit.MarginNotCaptured
	}
	row, _ := j.t.Find(id, limit.Selector{}) // found: the stretches were held against it
	d := j.stretch(i, worst, draft{code: code, call: Advised, value: measure.Of(total, u, worst.Length.Unit), row: row, level: row.Flag.V})
	d.variant, d.action, d.words = "bridged", "", map[string]string{"count": strconv.Itoa(len(list))}
	j.raise(d)
}

// finishLine judges form and width of the edge. A knife edge has no shelf, so none
// is demanded where one was prescribed.
func (j *judge) finishLine(i int) {
	r := j.f.Restorations[i]
	f, p := r.FinishLine, r.Prescription
	d := draft{rest: i, tooth: p.Tooth, surface: f.Surface, spot: "finish-line"}
	if f.Kind != "" && p.FinishLine != "" && f.Kind != p.FinishLine {
		d.code, d.words = FinishLineDiffers, map[string]string{"is": j.c.finishLine(f.Kind), "asked": j.c.finishLine(p.FinishLine)}
		j.raise(d)
	}
	if p.FinishLine == limit.KnifeEdge || !f.WidthMin.Measured() {
		return
	}
	loose, strict, ok := span(p, limit.Edge, string(p.Tooth.Class()), j.t.Minimum)
	if !ok {
		j.noLimit(i, "finish_line", p)
		return
	}
	row, call, level, undecided, ok := holdSpan(f.WidthMin, loose, strict)
	switch {
	case !ok:
		j.wrongUnit("finish_line", f.WidthMin, strict.Unit, i)
	case undecided:
		j.noLimit(i, "finish_line", p)
	case call != good:
		d.code, d.call, d.value, d.row, d.level = FinishLineNarrow, call, f.WidthMin, row, level
		d.words = map[string]string{"material": j.c.material(p.Material)}
		j.raise(d)
	}
}
