package casefile_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"selvage/internal/casefile"
	"selvage/meshio/obj"
)

// Five points, the line closed, points 3 and 4 unclear: two runs that together hold
// every segment once.
func fiveMargin() casefile.Report {
	m := casefile.Margin{
		Closed: true, Scan: "working",
		Points:     [][3]float64{{0, 0, 0}, {1, 0, 0}, {1.5, 1, 0}, {0.5, 1.5, 0.25}, {-0.5, 1, 0}},
		Confidence: []float64{1, 0.9, 0.8, 0.1, 0.1},
		Stretches:  []casefile.Stretch{{State: "unclear", From: 3, To: 4}},
	}
	return casefile.Report{Case: "a\nb", Restorations: []casefile.RestorationReport{
		{Tooth: casefile.ToothNames{FDI: "26"}, Measures: casefile.Measures{Margin: m}},
		{Tooth: casefile.ToothNames{FDI: "27"}, Measures: casefile.Measures{Margin: casefile.Margin{Not: "no wall"}}},
	}}
}

func TestMarginOBJ(t *testing.T) {
	text := string(fiveMargin().MarginOBJ())
	for _, want := range []string{"g readable\nl 1 2 3\n", "g unclear\nl 3 4 5 1\n", "v 0.5000 1.5000 0.2500\n", "# tooth 27: no wall\n", "case a b,"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Count(text, "\nv ") != 5 {
		t.Errorf("want 5 points in\n%s", text)
	}
	if s, _, err := obj.Decode([]byte(text)); err == nil && len(s.Pos) != 5 {
		t.Errorf("our own reader finds %d points", len(s.Pos))
	}
}

func TestMarginCSV(t *testing.T) {
	data, err := fiveMargin().MarginCSV()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil || len(rows) != 6 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if got := strings.Join(rows[4], " "); got != "26 working 3 0.5000 1.5000 0.2500 0.100 unclear" {
		t.Errorf("row 4 is %q", got)
	}
}
