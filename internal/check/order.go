package check

import (
	"selvage/finding"
	"selvage/internal/casefile"
)

// missingFields names the fields of a restoration that a complete prescription for
// a crown has and this one lacks, as in case.json (fields: trade.md §11.1, the
// superset of state rules; contacts and space: job.md §1.2 step 21, common
// practice).
func missingFields(r casefile.Restoration) []string {
	var out []string
	need := func(name string, given bool) {
		if !given {
			out = append(out, name)
		}
	}
	need("kind", r.Kind != "")
	need("material", r.Material != "")
	need("cement", r.Cement != "")
	need("finish_line", r.FinishLine != "")
	need("made_by", r.MadeBy != "")
	need("shade.body", r.Shade.Body != "")
	need("contacts.mesial", r.Contacts.Mesial != "")
	need("contacts.distal", r.Contacts.Distal != "")
	need("if_space_short", r.IfSpaceShort != "")
	return out
}

// orderFacts says what the prescription lacks as a whole. A crown made in-house
// needs no laboratory and no due date.
func orderFacts(c casefile.Case) finding.Order {
	o := finding.Order{Prepared: c.Dates.Prepared, Due: c.Dates.Due, Seat: c.Dates.Seat}
	laboratory := false
	for _, r := range c.Restorations {
		laboratory = laboratory || r.MadeBy != casefile.InHouse
	}
	need := func(name, value string) {
		if value == "" {
			o.Missing = append(o.Missing, name)
		}
	}
	need("prescriber.name", c.Prescriber.Name)
	need("prescriber.licence", c.Prescriber.Licence)
	need("patient.reference", c.Patient.Reference)
	need("dates.prepared", c.Dates.Prepared)
	if laboratory {
		need("laboratory.name", c.Laboratory.Name)
		need("laboratory.address", c.Laboratory.Address)
		need("dates.due", c.Dates.Due)
		need("dates.seat", c.Dates.Seat)
	}
	return o
}
