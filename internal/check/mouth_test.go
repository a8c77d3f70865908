package check

import (
	"testing"

	"selvage/limit"
	"selvage/measure"
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
