package quality

import (
	"fmt"
	"math"
	"testing"
)

// TestRateAgainstNewcombe holds the interval against the four worked examples of
// [Newcombe1998], table I, method 3 (score, no continuity correction).
func TestRateAgainstNewcombe(t *testing.T) {
	for _, tt := range []struct {
		hits, of  int
		low, high float64
	}{
		{81, 263, 0.2553, 0.3662},
		{15, 148, 0.0624, 0.1605},
		{0, 20, 0.0000, 0.1611},
		{1, 29, 0.0061, 0.1718},
	} {
		t.Run(fmt.Sprintf("%d of %d", tt.hits, tt.of), func(t *testing.T) {
			const printed = 0.00005 // the table gives four decimals
			r := NewRate(tt.hits, tt.of)
			if math.Abs(r.Low-tt.low) > printed || math.Abs(r.High-tt.high) > printed {
				t.Errorf("NewRate(%d, %d) = %.4f to %.4f, want %.4f to %.4f", tt.hits, tt.of, r.Low, r.High, tt.low, tt.high)
			}
		})
	}
}

// TestRateLaws checks what holds for any counts: the interval holds the share,
// stays within 0 to 1, mirrors when successes and failures change places, and
// solves the equation that defines it, |p̂ - p| = z·sqrt(p(1-p)/n).
func TestRateLaws(t *testing.T) {
	for of := 1; of <= 60; of++ {
		for hits := 0; hits <= of; hits++ {
			r, m := NewRate(hits, of), NewRate(of-hits, of)
			if r.Low < 0 || r.High > 1 || r.Low > r.Share || r.High < r.Share {
				t.Fatalf("NewRate(%d, %d) = %+v: the interval does not hold the share", hits, of, r)
			}
			if math.Abs(r.Low-(1-m.High)) > 1e-12 {
				t.Fatalf("NewRate(%d, %d): low %.15f, mirrored %.15f", hits, of, r.Low, 1-m.High)
			}
			for _, p := range []float64{r.Low, r.High} {
				if p == 0 || p == 1 {
					continue
				}
				z := math.Abs(r.Share-p) / math.Sqrt(p*(1-p)/float64(of))
				if math.Abs(z-z95) > 1e-6 {
					t.Fatalf("NewRate(%d, %d): at %.6f z = %.6f, want %.6f", hits, of, p, z, z95)
				}
			}
		}
	}
}

func TestRateOfNothing(t *testing.T) {
	if r := NewRate(0, 0); r.Low != 0 || r.High != 1 || r.Of != 0 {
		t.Errorf("NewRate(0, 0) = %+v, want an interval of 0 to 1", r)
	}
}
