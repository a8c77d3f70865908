package sheet_test

import (
	"reflect"
	"slices"
	"testing"

	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/internal/sheet"
)

// sample is something that each kind of field takes.
func sample(f sheet.Field) string {
	switch {
	case f.Kind == sheet.Many:
		return f.Options[0] + " " + f.Options[1]
	case len(f.Options) > 0:
		return f.Options[len(f.Options)-1]
	case f.Kind == sheet.Number:
		return "2"
	case f.Kind == sheet.Date:
		return "2026-05-04"
	case f.Name == "shade.measured" || f.Name == "shade.stump_measured":
		return "74 1.5 18"
	}
	return "word"
}

func TestWhatIsSetIsShownAndCanBeTakenBack(t *testing.T) {
	for _, f := range sheet.Fields() {
		c := casefile.Case{Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(26)}}}
		was := casefile.Case{Restorations: slices.Clone(c.Restorations)}
		v := sample(f)
		if !f.Set(&c, v) || f.Get(&c) != v {
			t.Errorf("%s: set to %q it says %q", f.Name, v, f.Get(&c))
		}
		if !f.Set(&c, "") || f.Get(&c) != "" {
			t.Errorf("%s: taken back it says %q", f.Name, f.Get(&c))
		}
		if !reflect.DeepEqual(c, was) {
			t.Errorf("%s: taken back it leaves %+v", f.Name, c)
		}
		if !slices.Contains(sheet.Groups(), f.Group) {
			t.Errorf("%s stands in no part of the sheet", f.Name)
		}
	}
}

// TestWhatIsAskedCanBeEntered holds the fields that a law may ask for to the sheet.
func TestWhatIsAskedCanBeEntered(t *testing.T) {
	elsewhere := []prescription.Field{prescription.CaseNumber, prescription.Disinfected} // the case's name; four fields together
	for _, f := range prescription.Fields() {
		if _, ok := sheet.Of(string(f)); !ok && !slices.Contains(elsewhere, f) {
			t.Errorf("%s may be asked for and cannot be entered", f)
		}
	}
}

func TestAnotherGuideWipesNothing(t *testing.T) {
	c := casefile.Case{Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(26)}}}
	for _, f := range sheet.Fields() {
		if f.Group == "shade" {
			f.Set(&c, sample(f))
		}
	}
	guide, _ := sheet.Of("shade.guide")
	guide.Set(&c, "another")
	for _, f := range sheet.Fields() {
		if f.Group == "shade" && f.Name != "shade.guide" && f.Get(&c) != sample(f) {
			t.Errorf("another guide changed %s to %q", f.Name, f.Get(&c))
		}
	}
}
