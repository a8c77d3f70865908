package study

import (
	"math"
	"slices"

	"selvage/finding"
)

// tally sums trials up in the order of their numbers.
func tally(o Options, trials []Trial) Result {
	r := Result{Schema: Schema, Cases: o.Cases, Seed: o.Seed, Trials: trials}
	for _, t := range trials {
		if len(t.Faults) == 0 {
			r.Sound++
		}
		if t.Failed != "" {
			r.Failed++
		}
		if t.Refused != "" {
			r.Refused++
		}
	}
	r.Verdicts = verdictRows(trials)
	for _, c := range finding.Codes() {
		if row, used := codeRow(c, trials); used {
			r.Codes = append(r.Codes, row)
		}
	}
	r.Measures = measureRows(trials)
	r.Margin = marginSummary(trials)
	r.Groups = groupRows(trials)
	return r
}

// verdictRows counts what was said by what was due. A case is left out where a code
// that decides verdicts is too close to call: its verdict may go either way.
func verdictRows(trials []Trial) []VerdictRow {
	verdicts := finding.Verdicts()
	rows := make([]VerdictRow, len(verdicts))
	for i, want := range verdicts {
		row := VerdictRow{Expected: want, Given: make([]int, len(verdicts)+1)}
		for _, t := range trials {
			if t.Failed != "" || t.Expected != want || undecided(t) {
				continue
			}
			row.Cases++
			given := len(verdicts)
			if t.Refused == "" {
				given = slices.Index(verdicts, t.Verdict)
			}
			row.Given[given]++
		}
		row.Right = NewRate(row.Given[i], row.Cases)
		rows[i] = row
	}
	return rows
}

// undecided reports whether a code that can decide the verdict is too close to call.
func undecided(t Trial) bool {
	return slices.ContainsFunc(t.Close, func(c finding.Code) bool {
		a, _ := c.Usual()
		return a != finding.Note && a != finding.FillIn
	})
}

// codeRow counts one finding. A check that was refused raised nothing: it missed
// what it should have raised, and is no evidence about false alarms. For a code that
// acts a mere note is no alarm, and notes are counted beside; a code that is only
// ever a note is due and raised at either level.
func codeRow(c finding.Code, trials []Trial) (row CodeRow, used bool) {
	row.Code = c
	usual, _ := c.Usual()
	onlyNote := usual == finding.Note || usual == finding.FillIn
	caught, due, raised, free := 0, 0, 0, 0
	for _, t := range trials {
		if t.Failed != "" {
			continue
		}
		got, noted := slices.Contains(t.Raised, c), slices.Contains(t.Noted, c)
		want, wantNote := slices.Contains(t.Due, c), slices.Contains(t.DueNotes, c)
		near, nearNote := slices.Contains(t.Close, c), slices.Contains(t.CloseTo, c)
		if onlyNote {
			got, want, near = got || noted, want || wantNote, near || nearNote
		}
		switch {
		case near:
			row.Close++
		case want:
			due++
			if got {
				caught++
			}
		case t.Refused == "":
			free++
			if got {
				raised++
			}
			if !onlyNote && !nearNote {
				row.notes(wantNote, noted)
			}
		}
	}
	row.Missed = due - caught
	row.Caught, row.False = NewRate(caught, due), NewRate(raised, free)
	return row, due+raised+row.Close+row.NotesDue+row.NotesFree > 0
}

// notes counts a note that was due or given.
func (r *CodeRow) notes(due, given bool) {
	switch {
	case due && given:
		r.NotesDue++
		r.NotesGiven++
	case due:
		r.NotesDue++
	case given:
		r.NotesFree++
	}
}

// axisName is the name of the axis in the tables.
const axisName = "insertion_axis (angle to the true one)"

// measureRows sums the scalars up over the cases whose scans are usable: a case in
// which the prepared tooth is not to be seen has nothing to measure.
func measureRows(trials []Trial) []MeasureRow {
	rows := []MeasureRow{{Name: axisName, Unit: "°"}}
	var axis []sample
	missing := 0
	for _, t := range trials {
		if !measurable(t) {
			continue
		}
		if t.Axis.made {
			axis = append(axis, t.Axis.sample)
		} else {
			missing++
		}
	}
	rows[0].Errors = sumUp(axis, missing)
	for i, g := range gauges {
		var samples []sample
		missing := 0
		for _, t := range trials {
			switch {
			case !measurable(t), math.IsNaN(t.Values[i].truth):
			case t.Values[i].made:
				samples = append(samples, t.Values[i].sample)
			default:
				missing++
			}
		}
		rows = append(rows, MeasureRow{Name: g.name, Unit: g.unit, Errors: sumUp(samples, missing)})
	}
	return rows
}

// measurable reports whether the truth of a trial can be held against its values:
// it was checked, and no fault makes its files those of another case.
func measurable(t Trial) bool {
	if len(t.Values) == 0 {
		return false
	}
	for _, c := range t.Due {
		if a, _ := c.Usual(); a == finding.CheckFiles {
			return false
		}
	}
	return true
}

func marginSummary(trials []Trial) MarginSummary {
	var s MarginSummary
	for _, t := range trials {
		if t.Margin == nil || !measurable(t) {
			continue
		}
		s.Cases++
		s.Mean += t.Margin.Mean
		s.P95 += t.Margin.P95
		s.Worst = max(s.Worst, t.Margin.P95)
		s.Largest = max(s.Largest, t.Margin.Largest)
	}
	if s.Cases > 0 {
		s.Mean /= float64(s.Cases)
		s.P95 /= float64(s.Cases)
	}
	return s
}
