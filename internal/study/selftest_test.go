package study

import (
	"math"
	"testing"
)

func TestSelfTest(t *testing.T) {
	for _, r := range SelfTest() {
		if !r.Right() {
			t.Errorf("%s = %.12g, want %.12g ± %.2g", r.What, r.Got, r.Want, r.Within)
		}
	}
}

// TestResultsCanBeWrong checks that a wrong answer, or none, is not called right.
func TestResultsCanBeWrong(t *testing.T) {
	for _, got := range []float64{1.1, math.NaN(), math.Inf(1)} {
		if (TestResult{Got: got, Want: 1, Within: 0.05}).Right() {
			t.Errorf("%g is called right, want 1 ± 0.05", got)
		}
	}
}
