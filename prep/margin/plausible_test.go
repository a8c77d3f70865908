package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// TestImplausible: a stump is a preparation, also one of 3° of undercut, or with the axis
// leaning; a tooth whose sides lean out all round is none, nor is a line far smaller or
// larger than the tooth.
func TestImplausible(t *testing.T) {
	plain := func(rho, phi, z float64) r3.Vec { return r3.V(rho*math.Cos(phi), rho*math.Sin(phi), z) }
	traced := func(taper float64) *prep.Margin {
		s := meshtest.DefaultStump()
		s.Taper = taper * math.Pi / 180
		m, ok := margin.Detect(cut(t, meshtest.Lathe(s.Knots(), 0.15, 7, plain), 0, 0.15), margin.Options{})
		if !ok {
			t.Fatalf("taper %.0f°: no wall found", taper)
		}
		return m
	}
	stump := traced(6)
	for usual, want := range map[float64]bool{0: true, 10: true, 8: true, 5: false, 24: false} {
		if why := margin.Implausible(stump, usual, true); (why == "") != want {
			t.Errorf("line of 10 mm on a tooth of %.0f mm: %q, want plausible %v", usual, why, want)
		}
	}
	for i := range stump.Points {
		if i%5 != 0 {
			stump.Points[i].State = prep.Unclear
		}
	}
	if why := margin.Implausible(stump, 10, true); why != "" {
		t.Errorf("tissue over most of the line: %q", why)
	}
	if why := margin.Implausible(stump, 10, false); why == "" {
		t.Error("no line and no common direction of the walls pass for a preparation")
	}
	if why := margin.Implausible(traced(-3), 10, true); why != "" {
		t.Errorf("3° of undercut: %q", why)
	}
	if why := margin.Implausible(traced(-12), 10, true); why == "" {
		t.Error("a tooth that leans out by 12° all round passes for a preparation")
	}
}
