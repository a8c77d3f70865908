package study

import (
	"slices"
	"testing"

	"selvage/finding"
)

// TestAdviceTableCounts: what is hardly missing is counted apart, what only a part of is
// seen is no promise, and the least share is that of the promises.
func TestAdviceTableCounts(t *testing.T) {
	gap := func(missing, filled float64, advised, part bool) Refill {
		return Refill{Code: finding.MarginNotCaptured, Advised: advised, Part: part, Missing: missing, Filled: filled}
	}
	r := Result{Trials: []Trial{{Refills: []Refill{
		gap(0.8, 1, true, false), gap(0.4, 0.9, true, false), gap(0.3, 0.2, true, true), gap(0.5, 0, false, false),
		gap(0.004, 0, true, false), gap(0.01, 0, true, true),
	}}}}
	got := r.adviceTable().rows
	want := []string{string(finding.MarginNotCaptured), "6", "2", "2", "1", NewRate(1, 2).String(), "90 %"}
	if len(got) != 1 || !slices.Equal(got[0], want) {
		t.Errorf("rows %v, want %v", got, want)
	}
}
