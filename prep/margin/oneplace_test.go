package margin

import (
	"math"
	"testing"

	"selvage/prep"
	"selvage/r3"
)

// TestDoubtfulStretchIsOnePlace: what is unclear at the ends of a hole belongs to the hole,
// what is not captured in the folds of tissue to the tissue; two long parts stay two.
func TestDoubtfulStretchIsOnePlace(t *testing.T) {
	const n = 720 // of a circle of 5 mm: 0.0436 mm each
	for _, c := range []struct {
		name         string
		parts        []prep.MarginState // of 20 points, 0.87 mm, each
		unclear, not int                // points afterwards
	}{
		{"hole", []prep.MarginState{prep.Unclear, prep.NotCaptured, prep.NotCaptured, prep.NotCaptured}, 0, 80},
		{"tissue", []prep.MarginState{prep.NotCaptured, prep.Unclear, prep.Unclear, prep.Unclear, prep.Unclear, prep.NotCaptured}, 120, 0},
		{"two", []prep.MarginState{prep.Unclear, prep.Unclear, prep.NotCaptured, prep.NotCaptured, prep.NotCaptured}, 40, 60},
		{"even", []prep.MarginState{prep.Unclear, prep.NotCaptured}, 20, 20},
		{"alone", []prep.MarginState{prep.Unclear}, 20, 0},
	} {
		m := &prep.Margin{Points: make([]prep.MarginPoint, n)}
		for i := range m.Points {
			s, co := math.Sincos(2 * math.Pi * float64(i) / n)
			m.Points[i].At = r3.V(5*co, 5*s, 0)
		}
		for i, s := range c.parts {
			for k := range 20 {
				m.Points[(n-30+20*i+k)%n].State = s // over the first point
			}
		}
		onePlace(m)
		changed := 0.0
		for i, s := range c.parts {
			for k := range 20 {
				if q := m.Points[(n-30+20*i+k)%n]; q.Own() != s {
					t.Fatalf("%s: %v was found, and is now said to have been %v", c.name, s, q.Own())
				} else if q.State != s {
					changed += m.Segment(i)
				}
			}
		}
		if u := m.AtLimit(prep.Stretch{From: n - 30, To: (n - 31 + 20*len(c.parts)) % n}); math.Abs(u-changed) > 1e-6 {
			t.Errorf("%s: %.2f mm of the length are said to be in doubt, want the %.2f that were changed", c.name, u, changed)
		}
		unclear, not := 0, 0
		for i := range m.Points {
			switch m.Points[i].State {
			case prep.Unclear:
				unclear++
			case prep.NotCaptured:
				not++
			}
		}
		if unclear != c.unclear || not != c.not {
			t.Errorf("%s: %d points unclear and %d not captured, want %d and %d", c.name, unclear, not, c.unclear, c.not)
		}
	}
}
