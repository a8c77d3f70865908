package casefile_test

import (
	"strings"
	"testing"

	"selvage/internal/casefile"
)

func caseWith(margin string) []byte {
	return []byte(`{"restorations":[{"tooth":{"system":"fdi","code":"26"},"margin":` + margin + `}],
		"scans":[{"role":"working","file":"w.stl"}]}`)
}

func TestByHandIsRead(t *testing.T) {
	c, err := casefile.Parse(caseWith(`{"scan":"working","pins":[[1,2,3]],"drawn":[[[1,2,3],[2,3,4]]],
		"accepted_by":"Demonstration","tries":[{"at":[1,2,3],"count":2},{"at":[4,5,6]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	b := c.Restorations[0].Margin
	if b.Scan != "working" || b.AcceptedBy != "Demonstration" || len(b.Pins) != 1 || b.Pins[0] != [3]float64{1, 2, 3} {
		t.Errorf("%+v", b)
	}
	if len(b.Drawn) != 1 || len(b.Drawn[0]) != 2 || b.Drawn[0][1] != [3]float64{2, 3, 4} {
		t.Errorf("drawn: %v", b.Drawn)
	}
	if len(b.Tries) != 2 || b.Tries[0].N != 2 || b.Tries[1].N != 1 {
		t.Errorf("tries: %v", b.Tries)
	}
	if len(c.Unknown) > 0 {
		t.Errorf("unknown: %v", c.Unknown)
	}
}

func TestByHandMistakesAreNamed(t *testing.T) {
	for margin, field := range map[string]string{
		`{"pins":[[1,2]]}`:                       "restorations[0].margin.pins[0]",
		`{"pins":[[1,2,"3"]]}`:                   "restorations[0].margin.pins[0]",
		`{"pins":[[1,2,1e9]]}`:                   "restorations[0].margin.pins[0]",
		`{"drawn":[[[1,2,3]]]}`:                  "restorations[0].margin.drawn[0]",
		`{"scan":"opposing"}`:                    "restorations[0].margin.scan",
		`{"tries":[{"count":1}]}`:                "restorations[0].margin.tries[0].at",
		`{"tries":[{"at":[1,2,3],"count":0.5}]}`: "restorations[0].margin.tries[0].count",
		`[]`:                                     "restorations[0].margin",
	} {
		if _, err := casefile.Parse(caseWith(margin)); err == nil || !strings.Contains(err.Error(), field+":") {
			t.Errorf("%s: %v, want a mistake in %s", margin, err, field)
		}
	}
}
