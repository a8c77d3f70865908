package check

import (
	"math"
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// TestReductionNeedsTheSameMouth: from a scan of another mouth nothing tells what was cut;
// a doubt alone leaves the measure with its uncertainty.
func TestReductionNeedsTheSameMouth(t *testing.T) {
	table := limit.Default()
	row, ok := table.Find(limit.SameTooth, limit.Selector{})
	if !ok {
		t.Fatal("no limit for teeth of one mouth")
	}
	for _, c := range []struct {
		over float64
		want bool
	}{{-0.05, false}, {0.01, false}, {0.05, true}} {
		var r restoration
		r.same.RMS = measure.Of(row.Flag.V+c.over, 0.02, measure.MM)
		r.same.Tooth = r.same.RMS
		if got := r.otherMouth(table); got != c.want {
			t.Errorf("teeth %.2f mm over the limit: other mouth %v, want %v", c.over, got, c.want)
		}
	}
	var r restoration
	if r.otherMouth(table) {
		t.Error("no comparison proves another mouth")
	}
}

// TestSheetOnWall: where a closed hole lies inside the line no undercut is told; beside
// the tooth it is no matter.
func TestSheetOnWall(t *testing.T) {
	p := &prep.Preparation{Axis: r3.V(0, 0, 1), Mesial: r3.V(1, 0, 0), Buccal: r3.V(0, 1, 0)}
	m := &prep.Margin{Fan: &prep.Fan{Prep: p}}
	for i := range 720 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 720)
		m.Points = append(m.Points, prep.MarginPoint{At: r3.V(5*c, 5*s, 0)})
	}
	for _, c := range []struct {
		at   r3.Vec
		want bool
	}{{r3.V(3, 1, 2), true}, {r3.V(6, 1, 2), false}, {r3.V(3, 1, -1), false}} {
		area := measure.Of(2, 0.1, measure.MM2).At(measure.Place{At: c.at})
		r := restoration{prep: p, margin: m, source: &Scan{Invented: []finding.Patch{{Area: area}}}}
		if got := r.sheetOnWall() != ""; got != c.want {
			t.Errorf("a sheet at %v is on the preparation: %v, want %v", c.at, got, c.want)
		}
	}
}
