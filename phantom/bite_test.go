package phantom_test

import (
	"slices"
	"testing"

	"selvage/phantom"
)

// TestBiteTruthIsOfTheFiledPose: what the truth says of the bite is measured on the
// exact jaws as they are filed, whatever fault put them there.
func TestBiteTruthIsOfTheFiledPose(t *testing.T) {
	for _, c := range []struct {
		fault        phantom.Fault
		deep, gap    [2]float64 // from, to, mm; gap of the neighbour that is least open
		due, notThis string
	}{
		{phantom.Fault{Name: "bite-open", Value: 0.3}, [2]float64{0, 0}, [2]float64{0.1, 0.31}, "bite-open", "bite-penetrates"},
		{phantom.Fault{Name: "bite-penetrates", Value: 0.25}, [2]float64{0.15, 0.26}, [2]float64{-0.26, -0.1}, "bite-penetrates", "bite-open"},
		// A neighbour that tipped has ground itself in: teeth do not cross.
		{phantom.Fault{Name: "path-blocked", Value: 0.3}, [2]float64{0, 0.01}, [2]float64{-0.01, 0.05}, "path-blocked", "bite-penetrates"},
		{phantom.Fault{Name: "bite-unsupported"}, [2]float64{0, 0.01}, [2]float64{-0.01, 0.05}, "bite-unsupported", "bite-open"},
	} {
		s := quick(26, c.fault)
		s.Roles = []string{phantom.Working, phantom.Opposing, phantom.Bite}
		truth := mustMake(t, s).Truth
		b := truth.Bite
		t.Logf("%s: %+v", c.fault.Name, b)
		if b.PenetrationMm < c.deep[0] || b.PenetrationMm > c.deep[1] {
			t.Errorf("%s: the jaws cross by %.3f mm", c.fault.Name, b.PenetrationMm)
		}
		least := 9.0
		for _, g := range b.Gaps {
			least = min(least, g.GapMm)
		}
		if least < c.gap[0] || least > c.gap[1] {
			t.Errorf("%s: the nearer neighbour stands %.3f mm off", c.fault.Name, least)
		}
		has := func(code string) bool {
			return slices.ContainsFunc(truth.Findings, func(f phantom.Finding) bool { return f.Code == code })
		}
		if !has(c.due) || has(c.notThis) {
			t.Errorf("%s: the truth raises %+v", c.fault.Name, truth.Findings)
		}
	}
}
