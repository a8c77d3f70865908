package study

import (
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/phantom"
	"selvage/r3"
)

// TestCloseStretchExcusesNoOther: a stretch that is too close to call is no excuse for what
// is missed or invented elsewhere along the same margin.
func TestCloseStretchExcusesNoOther(t *testing.T) {
	table := limit.Default()
	found := func(x, length, u float64, corner bool) finding.Stretch {
		return finding.Stretch{
			State: finding.NotCaptured, LineAngle: corner,
			Length: measure.Of(length, u, measure.MM).At(measure.Place{At: r3.V(x, 0, 0)}),
		}
	}
	real := func(x, length float64, corner bool) phantom.Stretch {
		return phantom.Stretch{State: "not-captured", LengthMm: length, Corner: corner, At: phantom.Point{x, 0, 0}}
	}
	for _, c := range []struct {
		name  string
		truth []phantom.Stretch
		found []finding.Stretch
		want  bool
	}{
		{"a crumb at a corner", nil, []finding.Stretch{found(0, 0.15, 0.2, true)}, true},
		{"a crumb at a corner, and 2 mm elsewhere", nil, []finding.Stretch{found(0, 0.15, 0.2, true), found(8, 2, 0.2, false)}, false},
		{"2 mm missed, a crumb elsewhere", []phantom.Stretch{real(8, 2, false)}, []finding.Stretch{found(0, 0.15, 0.2, true)}, false},
		{"a little too long, missed", []phantom.Stretch{real(8, 0.6, false)}, nil, true},
		{"a little too short, reported", []phantom.Stretch{real(8, 0.4, false)}, []finding.Stretch{found(8.1, 0.6, 0.2, false)}, true},
		{"a little too short, and another invented", []phantom.Stretch{real(8, 0.4, false)}, []finding.Stretch{found(8.1, 0.6, 0.2, false), found(0, 1.5, 0.2, false)}, false},
		{"nothing", nil, nil, false},
	} {
		r := finding.Restoration{Margin: finding.MarginFacts{Length: measure.Of(30, 0.16, measure.MM), Stretches: c.found}}
		if got := stretchesClose(finding.NotCaptured, c.truth, r, table); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
