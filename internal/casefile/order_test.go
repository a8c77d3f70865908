package casefile_test

import (
	"reflect"
	"strings"
	"testing"

	"selvage/internal/casefile"
)

// everything is an order in which every field is given.
const everything = `{
 "case": "demo-26", "rule": "us-sc", "rush": true, "alerts": ["latex", "nickel"], "subcontracting": "ask",
 "disinfection": {"nothing_sent": false, "agent": "hypochlorite", "minutes": 10, "on": "2026-05-04", "by": "AB"},
 "dates": {"written": "2026-05-04", "prepared": "2026-05-04", "due": "2026-05-15", "seat": "2026-05-19"},
 "prescriber": {"name": "Dr. A", "licence": "D-1", "address": "1 Mill Lane", "phone": "555", "contact": "B, mornings"},
 "laboratory": {"name": "Lab", "address": "2 Mill Lane", "licence": "L-1", "phone": "556"},
 "patient": {"reference": "P-1007", "name": "N"},
 "restorations": [{
  "tooth": {"system": "fdi", "code": "26"}, "kind": "crown", "material": "zirconia-5y", "grade": "high translucency",
  "cement": "adhesive", "finish_line": "heavy-chamfer", "margin_depth": "at-gum", "facial_thickness_mm": 1.2, "made_by": "laboratory",
  "shade": {"guide": "g", "body": "b", "incisal": "i", "cervical": "c", "stump": "s", "characterisation": "mottled",
   "before_drying": true, "measured": {"l": 74, "a": 1.5, "b": 18}, "stump_measured": {"l": 60, "a": 4, "b": 20}},
  "contacts": {"mesial": "firm", "distal": "light"},
  "occlusion": {"scheme": "canine", "centric": "light", "excursions": "free", "opposing_material": "enamel", "bruxism": true},
  "if_space_short": "call", "notes": "n"}],
 "scans": [{"role": "working", "file": "working.stl"}], "units": "mm"}`

func TestWholeOrderIsReadAndWritten(t *testing.T) {
	s := compiled(t, casefile.SchemaOfCase)
	if err := validate(t, s, []byte(everything)); err != nil {
		t.Errorf("it does not match the schema: %v", err)
	}
	c, err := casefile.Parse([]byte(everything))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Unknown) > 0 {
		t.Errorf("not known: %v", c.Unknown)
	}
	data, err := c.Encode()
	if err != nil {
		t.Fatal(err)
	}
	again, err := casefile.Parse(data)
	if err != nil || !reflect.DeepEqual(c, again) {
		t.Errorf("written and read it is another (%v):\n%+v\n%+v", err, c, again)
	}
	for _, word := range strings.FieldsFunc(everything, func(r rune) bool { return strings.ContainsRune("{}[],:\n ", r) }) {
		if !strings.Contains(string(data), strings.Trim(word, `"`)) {
			t.Errorf("%s was lost on the way", word)
		}
	}
}

func TestWrongOrderIsRefusedByField(t *testing.T) {
	for was, what := range map[string]struct{ is, field string }{
		`"latex"`:                    {`"cats"`, "alerts[0]"},
		`"nickel"`:                   {`7`, "alerts[1]"},
		`"l": 74`:                    {`"l": 174`, "restorations[0].shade.measured"},
		`"a": 1.5, "b"`:              {`"b"`, "restorations[0].shade.measured"},
		`"minutes": 10`:              {`"minutes": 0`, "disinfection.minutes"},
		`"at-gum"`:                   {`"deep"`, "restorations[0].margin_depth"},
		`"subcontracting": "ask"`:    {`"subcontracting": "maybe"`, "subcontracting"},
		`"facial_thickness_mm": 1.2`: {`"facial_thickness_mm": "thin"`, "restorations[0].facial_thickness_mm"},
	} {
		_, err := casefile.Parse([]byte(strings.Replace(everything, was, what.is, 1)))
		if err == nil || !strings.Contains(err.Error(), "case.json: "+what.field+": ") {
			t.Errorf("%s: %v, want a mistake in %s", what.is, err, what.field)
		}
	}
}
