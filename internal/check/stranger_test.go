package check

import (
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
)

// Two scans are of two mouths where their unchanged teeth differ by more than the limit
// and its uncertainty: single teeth where they can be told apart, else the whole row.
func TestApart(t *testing.T) {
	mm := func(v, u float64) measure.Value { return measure.Of(v, u, measure.MM) }
	not := measure.Not("too few teeth")
	for _, c := range []struct {
		tooth, rms measure.Value
		want       bool
	}{
		{mm(0.05, 0.02), mm(0.6, 0.02), false}, // what one tooth lost does not count against the others
		{mm(0.12, 0.02), mm(0.2, 0.02), false}, // too close to call
		{mm(0.2, 0.02), mm(0.2, 0.02), true},
		{not, mm(0.3, 0.05), false},
		{not, mm(0.6, 0.05), true},
	} {
		if got := apart(finding.Match{Tooth: c.tooth, RMS: c.rms}, limit.Default()); got != c.want {
			t.Errorf("%v, %v: %v, want %v", c.tooth, c.rms, got, c.want)
		}
	}
}
