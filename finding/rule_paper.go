package finding

import (
	"strconv"
	"strings"

	"selvage/calendar"
	"selvage/limit"
	"selvage/measure"
)

// paper judges what the prescription says, and whether the limits are the
// program's own.
func (j *judge) paper() {
	if m := j.f.Order.Missing; len(m) > 0 {
		j.incomplete(wholeCase, m)
	}
	for i, r := range j.f.Restorations {
		if m := r.Prescription.Missing; len(m) > 0 {
			j.incomplete(i, m)
		}
	}
	j.dates()
	if changes := j.t.Edited(limit.Default()); len(changes) > 0 {
		words := make([]string, len(changes))
		for k, c := range changes {
			words[k] = c.String()
		}
		j.raise(draft{code: LimitsEdited, rest: wholeCase, words: map[string]string{
			"count": strconv.Itoa(len(changes)), "changes": strings.Join(words, "; "),
		}})
	}
}

func (j *judge) incomplete(i int, fields []string) {
	names := make([]string, len(fields))
	for k, f := range fields {
		names[k] = j.c.field(f)
	}
	d := draft{code: PrescriptionIncomplete, rest: i, missing: fields, words: map[string]string{"fields": strings.Join(names, ", ")}}
	if i != wholeCase {
		d.tooth = j.f.Restorations[i].Prescription.Tooth
	}
	j.raise(d)
}

// dates raises days that the calendar does not have, days in the wrong order, and
// too few working days between the due date and the seat date.
func (j *judge) dates() {
	o := j.f.Order
	prepared, hasPrepared := j.date("prepared", o.Prepared)
	due, hasDue := j.date("due", o.Due)
	seat, hasSeat := j.date("seat", o.Seat)
	words := map[string]string{"prepared": o.Prepared, "due": o.Due, "seat": o.Seat}
	impossible := func(variant string) {
		j.raise(draft{code: DateImpossible, variant: variant, rest: wholeCase, words: words})
	}
	if hasPrepared && hasDue && due < prepared {
		impossible("due-before-prepared")
	}
	if hasPrepared && hasSeat && seat < prepared {
		impossible("seat-before-prepared")
	}
	switch {
	case !hasDue || !hasSeat:
		return
	case seat < due:
		impossible("seat-before-due")
	case j.fromLaboratory():
		days := o.Week.Between(due, seat)
		row, ok := j.t.Find(limit.SeatBuffer, limit.Selector{})
		if ok && row.Flag.Beyond(row.Bad, float64(days)) {
			words["days"], words["need"] = strconv.Itoa(days), j.c.number(row.Flag.V)
			j.raise(draft{
				code: DateImpossible, variant: "too-tight", rest: wholeCase, words: words,
				value: measure.Value{}, row: row, level: row.Flag.V,
			})
		}
	}
}

func (j *judge) date(field, text string) (d calendar.Date, ok bool) {
	if text == "" {
		return 0, false
	}
	d, err := calendar.Parse(text)
	if err != nil {
		j.raise(draft{
			code: DateImpossible, variant: "no-such-day", rest: wholeCase,
			words: map[string]string{"field": j.c.field("dates." + field), "date": text},
		})
		return 0, false
	}
	return d, true
}

// fromLaboratory reports whether a laboratory makes any of the restorations.
func (j *judge) fromLaboratory() bool {
	for _, r := range j.f.Restorations {
		if r.Prescription.MadeBy == Laboratory {
			return true
		}
	}
	return false
}
