package report_test

import (
	"regexp"
	"strings"
	"testing"

	"selvage/internal/report"
	"selvage/internal/schedule"
	"selvage/limit"
)

// TestSourcesInGerman: of every shipped source the citation stays and no English sentence
// does.
func TestSourcesInGerman(t *testing.T) {
	english := regexp.MustCompile(`\b(the|of|is|are|were|and|with|from|our|own|at|by|to|text|texts|practice|teaching|choice|compare|limit|times|values)\b`)
	cited := regexp.MustCompile(`PMC[0-9]+|PubMed [0-9]+|doi \S+`)
	german := report.German()
	var all []string
	for _, r := range limit.Default().Rows() {
		all = append(all, r.Source)
	}
	for _, m := range schedule.Default() {
		all = append(all, m.Source)
	}
	for _, s := range all {
		got := german.Source(s)
		if w := english.FindString(got); w != "" {
			t.Errorf("%q is %q, which says %q", s, got, w)
		}
		for _, c := range cited.FindAllString(s, -1) {
			if !strings.Contains(got, c) {
				t.Errorf("%q lost %s: %q", s, c, got)
			}
		}
		if report.English().Source(s) != s {
			t.Errorf("English altered %q", s)
		}
	}
	if len(all) < 100 {
		t.Errorf("only %d sources", len(all))
	}
}

// TestNotesInGerman: every shipped limit says in German what it is about, with the numbers
// that the English has; a practice's own note stays.
func TestNotesInGerman(t *testing.T) {
	number := regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)
	german, n := report.German(), 0
	for _, r := range limit.Default().Rows() {
		if r.Note == "" {
			continue
		}
		n++
		got := german.Note(r.Note)
		if got == r.Note {
			t.Errorf("%s: %q is not translated", r.ID, r.Note)
		}
		for _, x := range number.FindAllString(r.Note, -1) {
			if !strings.Contains(got, strings.Replace(x, ".", ",", 1)) {
				t.Errorf("%s: %q lost %s", r.ID, got, x)
			}
		}
		if report.English().Note(r.Note) != r.Note {
			t.Errorf("%s: English altered its note", r.ID)
		}
	}
	if n < 50 {
		t.Errorf("only %d notes", n)
	}
	if own := "as Dr. B. wants it"; german.Note(own) != own {
		t.Error("a practice's own note was altered")
	}
}
