package finding

import (
	"fmt"

	"selvage/limit"
	"selvage/measure"
)

// against holds a fact against a limit of the table. ok is false if the fact is
// absent, or if the table has no such row. A fact in a unit that the row cannot
// take is a mistake of whoever filled it in; it becomes an absent measure, so that
// it cannot pass in silence.
func (j *judge) against(name string, v measure.Value, id limit.ID, q limit.Selector, rest int) (row limit.Row, call Call, level float64, ok bool) {
	if !v.Measured() {
		return limit.Row{}, good, 0, false
	}
	row, ok = j.t.Find(id, q)
	if !ok {
		return limit.Row{}, good, 0, false
	}
	call, level, ok = hold(v, row)
	if !ok {
		j.wrongUnit(name, v, row.Unit, rest)
	}
	return row, call, level, ok
}

func (j *judge) wrongUnit(name string, v measure.Value, want limit.Unit, rest int) {
	j.absent = append(j.absent, Absent{
		Restoration: rest, Measure: name,
		Why: j.c.text("why.unit", map[string]string{"name": name, "unit": fmt.Sprintf("%q", string(v.Unit)), "want": string(want)}),
	})
}

// span returns the loosest and the strictest row of a limit that depends on the
// prescription. Where material and cement are given the two are one; where either
// is missing, all that the table offers for it are tried: what is too little for
// every material is too little, what is enough for the most demanding one is
// enough, and between the two nothing is said. ok is false where no row fits.
func span(p Prescription, zone limit.Zone, class string, find func(limit.Selector) (limit.Row, bool)) (loose, strict limit.Row, ok bool) {
	materials := []limit.Material{p.Material}
	if p.Material == "" {
		materials = limit.Materials()
	}
	cements := []limit.Cement{p.Cement}
	if p.Cement == "" {
		cements = limit.Cements()
	}
	for _, m := range materials {
		for _, c := range cements {
			r, found := find(limit.Selector{Material: m, Cement: c, Zone: zone, Class: class})
			if !found || !r.Flag.Set {
				continue
			}
			if !ok || r.Flag.V < loose.Flag.V {
				loose = r
			}
			if !ok || r.Flag.V > strict.Flag.V {
				strict = r
			}
			ok = true
		}
	}
	return loose, strict, ok
}

// holdSpan judges a value against a span. undecided is true where the answer
// depends on what the prescription leaves out.
func holdSpan(v measure.Value, loose, strict limit.Row) (row limit.Row, call Call, level float64, undecided, ok bool) {
	call, level, ok = hold(v, loose)
	if !ok || loose.Flag == strict.Flag && loose.Advise == strict.Advise || call == Proven {
		return loose, call, level, false, ok
	}
	hard, hardLevel, ok := hold(v, strict)
	if hard == good || hard == Advised {
		return strict, hard, hardLevel, false, ok
	}
	return strict, hard, hardLevel, true, ok
}
