package edge

import (
	"math"
	"testing"
)

// TestMiddleOfChangingRadius: a radius that changes along the edge without noise is not
// put up, and U reaches down to the sharper quarter of the stretch.
func TestMiddleOfChangingRadius(t *testing.T) {
	var ps []*Place
	for i := range 13 {
		ps = append(ps, &Place{Radius: 0.30 + 0.02*float64(i), U: 0.03, scatter: 0.001})
	}
	v, u := middle(ps)
	if math.Abs(v-0.42) > 0.002 {
		t.Errorf("radius %.3f, want the median 0.42", v)
	}
	if v-u > 0.36 || u > 0.08 {
		t.Errorf("U %.3f does not reach from 0.42 to 0.36, or farther than it need", u)
	}
}

// TestFormOfShallowSection: where the section shows little of the turn the crest may
// still be as much tighter than the arc as at a right angle.
func TestFormOfShallowSection(t *testing.T) {
	f := round{a: 0.45, b: 0.45, r: 0.6}
	r, u, _ := f.radiusU(0.05)
	if parabola := 0.6 * 2 * math.Sqrt2 / (2 + math.Sqrt2); r-u > parabola || r+u < 0.6 {
		t.Errorf("radius %.3f ± %.3f does not hold both the arc, 0.6, and the parabola, %.3f", r, u, parabola)
	}
}
