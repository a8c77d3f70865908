package quality

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestCUSUMByHand holds weights and sums against numbers that were worked out by hand for
// p0 = 0.1 and odds twice as high: 1 - p0 + 2·p0 = 1.1, W = ln(2/1.1) = 0.597837 after a
// failure and -ln 1.1 = -0.095310 after a success.
func TestCUSUMByHand(t *testing.T) {
	c := CUSUM{P0: 0.1, Ratio: 2, H: 1}
	for failed, want := range map[bool]float64{true: 0.597837, false: -0.095310} {
		if got := c.Step(failed); math.Abs(got-want) > 1e-6 {
			t.Errorf("step %v: %.6f, want %.6f", failed, got, want)
		}
	}
	got := c.Run([]bool{false, true, false, true, true, false, true})
	want := []Point{{0, false}, {0.597837, false}, {0.502527, false}, {1.100364, true}, {0.597837, false}, {0.502527, false}, {1.100364, true}}
	for i := range want {
		if math.Abs(got[i].S-want[i].S) > 2e-6 || got[i].Alarm != want[i].Alarm {
			t.Errorf("case %d: %+v, want %+v", i+1, got[i], want[i])
		}
	}
}

// TestCUSUMWeightsAreLikelihoodRatios: the weights are ln of the ratio of probabilities
// under the raised odds and under p0, so each has mean exp(W) = 1 under p0.
func TestCUSUMWeightsAreLikelihoodRatios(t *testing.T) {
	for _, p0 := range []float64{0.01, 0.038, 0.3} {
		c := CUSUM{P0: p0, Ratio: 2}
		odds := c.Ratio * p0 / (1 - p0)
		p1 := odds / (1 + odds)
		if got, want := c.Step(true), math.Log(p1/p0); math.Abs(got-want) > 1e-12 {
			t.Errorf("p0 = %g: after a failure %g, want %g", p0, got, want)
		}
		if got, want := c.Step(false), math.Log((1-p1)/(1-p0)); math.Abs(got-want) > 1e-12 {
			t.Errorf("p0 = %g: after a success %g, want %g", p0, got, want)
		}
	}
}

// TestRunLengthOfTheFirstFailure: where one failure alarms, the run length is 1/p.
func TestRunLengthOfTheFirstFailure(t *testing.T) {
	for _, p := range []float64{0.02, 0.1, 0.5} {
		c := CUSUM{P0: 0.038, Ratio: 2}
		c.H = c.Step(true) * 0.99
		if got := c.RunLength(p); math.Abs(got-1/p) > 1e-6/p {
			t.Errorf("p = %g: %g, want %g", p, got, 1/p)
		}
	}
}

// TestRunLengthAgainstRuns holds the chain against simulated runs, whose mean has a
// standard error of about the mean over the square root of their number.
func TestRunLengthAgainstRuns(t *testing.T) {
	for _, tt := range []struct{ p0, p, h float64 }{{0.1, 0.1, 2}, {0.1, 0.2, 2}, {0.038, 0.076, 3}} {
		c := CUSUM{P0: tt.p0, Ratio: 2, H: tt.h}
		want := c.RunLength(tt.p)
		rng := rand.New(rand.NewPCG(5, 7))
		const runs = 4000
		sum := 0.0
		for range runs {
			s, n := 0.0, 0
			for s <= c.H {
				s = max(0, s+c.Step(rng.Float64() < tt.p))
				n++
			}
			sum += float64(n)
		}
		if got := sum / runs; math.Abs(got-want) > 4*want/math.Sqrt(runs) {
			t.Errorf("p0 = %g, p = %g, h = %g: %g over %d runs, %g by the chain", tt.p0, tt.p, tt.h, got, runs, want)
		}
	}
}

// TestThreshold checks that a chart alarms as seldom as was asked for, and much sooner
// when the odds double.
func TestThreshold(t *testing.T) {
	c := Threshold(0.038, 2, 1000)
	if n := c.RunLength(0.038); n < 990 || n > 1060 {
		t.Errorf("a false alarm in %g cases, want 1000", n)
	}
	if n := c.RunLength(2 * 0.038); n > 350 {
		t.Errorf("twice as many failures alarm after %g cases", n)
	}
	t.Logf("H = %.3f: doubled, it alarms after %.0f cases", c.H, c.RunLength(0.0733))
}
