package casefile

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Encode writes the case as a case.json that [Parse] reads back.
func (c Case) Encode() ([]byte, error) { return encode(c) }

// Encode writes the report. The same report gives the same bytes: fields in the
// order of the types, numbers in their shortest exact form, a line end at the end.
func (r Report) Encode() ([]byte, error) { return encode(r.whole()) }

// whole returns r with empty lists in place of absent ones, which JSON would write
// as null.
func (r Report) whole() Report {
	r.Schema = ReportSchema
	r.Scans = orEmpty(r.Scans)
	r.Findings = orEmpty(r.Findings)
	r.Restorations = append([]RestorationReport{}, r.Restorations...)
	for i := range r.Restorations {
		r.Restorations[i].Findings = orEmpty(r.Restorations[i].Findings)
	}
	return r
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// encode writes indented JSON without escaping the signs of HTML.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// ParseReport reads a report that [Report.Encode] wrote. A report of another form
// is refused by its name; fields that a newer program added are ignored.
func ParseReport(data []byte) (Report, error) {
	var r Report
	if err := json.Unmarshal(data, &r); err != nil {
		return Report{}, fmt.Errorf("report: %w", err)
	}
	if r.Schema != ReportSchema {
		return Report{}, fmt.Errorf("report: its form is %q, not %q", r.Schema, ReportSchema)
	}
	return r, nil
}
