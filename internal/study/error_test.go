package study

import (
	"math"
	"testing"
)

func TestSumUp(t *testing.T) {
	var s []sample
	for i := 1; i <= 20; i++ { // errors 1 to 20, alternating in sign
		d := float64(i)
		if i%2 == 0 {
			d = -d
		}
		s = append(s, sample{caseNo: i, measured: 100 + d, truth: 100, u: 10})
	}
	e := sumUp(s, 3)
	switch {
	case e.N != 20 || e.Missing != 3:
		t.Errorf("counts %d, %d, want 20, 3", e.N, e.Missing)
	case e.Bias != -0.5: // (1-2)+(3-4)+... = -10 over 20
		t.Errorf("bias %g, want -0.5", e.Bias)
	case math.Abs(e.RMS-math.Sqrt(143.5)) > 1e-12: // Σi² = 20·21·41/6 = 2870
		t.Errorf("RMS %g, want %g", e.RMS, math.Sqrt(143.5))
	case e.P95 != 19:
		t.Errorf("P95 %g, want 19", e.P95)
	case e.Largest != 20 || e.LargestCase != 20:
		t.Errorf("largest %g in case %d, want 20 in 20", e.Largest, e.LargestCase)
	case e.Held.Hits != 10:
		t.Errorf("held %d, want 10", e.Held.Hits)
	case e.MedianU != 10:
		t.Errorf("median u %g, want 10", e.MedianU)
	}
	if none := sumUp(nil, 4); none.N != 0 || none.Missing != 4 || none.Held.High != 1 {
		t.Errorf("sumUp(nil, 4) = %+v", none)
	}
}
