package edge

import (
	"math"
	"testing"

	"selvage/r3"
)

// TestMiddleOfChangingRadius: a radius that changes along the edge without noise is not
// put up, and U reaches down to the sharper quarter of the stretch.
func TestMiddleOfChangingRadius(t *testing.T) {
	var ps []*Place
	for i := range 13 {
		ps = append(ps, &Place{Radius: 0.30 + 0.02*float64(i), fixed: 0.03, scatter: 0.002 * (0.4 + 0.02*float64(i))})
	}
	s := middle(ps, 0.1)
	v, u := s.v, s.u
	if math.Abs(v-0.42) > 0.01 {
		t.Errorf("radius %.3f, want the median 0.42", v)
	}
	if v-u > 0.36 || u > 0.09 {
		t.Errorf("U %.3f does not reach from 0.42 to 0.36, or farther than it need", u)
	}
}

// TestPlacesCountByHowSurelyTheyAreKnown: sections that noise blurs do not move the middle
// of those that are known, and below the spacing the radius is an upper bound.
func TestPlacesCountByHowSurelyTheyAreKnown(t *testing.T) {
	var ps []*Place
	for range 4 {
		ps = append(ps, &Place{Radius: 0.02, fixed: 0.02, scatter: 0.01})
	}
	for range 5 {
		ps = append(ps, &Place{Radius: 0.50, fixed: 0.02, scatter: 0.10})
	}
	s := middle(ps, 0.1)
	v, u := s.v, s.u
	if v > 0.05 {
		t.Errorf("radius %.3f, want that of the sure sections, 0.02", v)
	}
	if v-u > 0 {
		t.Errorf("%.3f ± %.3f does not reach to a corner, which points 0.1 mm apart cannot tell from it", v, u)
	}
}

// TestSharpRunAmongRound: a run that is sharp over more than half of its stretch is the
// stretch's radius, though round sections beside it are known better by their own measure,
// and that the radius changes is no reason to say nothing.
func TestSharpRunAmongRound(t *testing.T) {
	r := Result{spacing: 0.1, tool: 0.5}
	for i := range 25 {
		p := Place{At: r3.V(0, 0, 0.13*float64(i)), Along: r3.V(0, 0, 1), Radius: 0.70, Arc: 0.70, Turn: 1.4, fixed: 0.03, scatter: 0.02}
		if i >= 9 && i < 16 {
			p.Radius, p.Arc, p.scatter = 0.12, 0.12, 0.015
		}
		r.Places = append(r.Places, p)
	}
	r.summarise()
	if !r.Radius.Measured() || math.Abs(r.Radius.V-0.12) > 0.03 {
		t.Errorf("radius %+v, want 0.12", r.Radius)
	}
}

// TestBlurredIsNotNone: where no stretch can be told it is not said that no edge stands out.
func TestBlurredIsNotNone(t *testing.T) {
	r := Result{spacing: 0.1, tool: 0.5}
	for i := range 12 {
		r.Places = append(r.Places, Place{At: r3.V(0, 0, 0.13*float64(i)), Along: r3.V(0, 0, 1), Radius: 0.2, Arc: 0.2, Turn: 1.4, fixed: 0.03, scatter: 0.25})
	}
	r.summarise()
	if r.Radius.Measured() || r.Radius.Why != blurred {
		t.Errorf("%+v, want %q", r.Radius, blurred)
	}
}

// TestFormOfShallowSection: where the section shows little of the turn the middle of the
// round may still be as much tighter than the arc as at a right angle.
func TestFormOfShallowSection(t *testing.T) {
	f := round{a: 0.45, b: 0.45, r: 0.6}
	r, u, _, _ := f.radiusU(0.05)
	// A parabola of crest radius p turns by 45° over p·1.0836·π/4 mm about its crest.
	crest := 0.6 * 2 * math.Sqrt2 / (2 + math.Sqrt2)
	if parabola := 1.0836 * crest; r-u > parabola+1e-3 || r+u < 0.6-1e-3 {
		t.Errorf("radius %.3f ± %.3f does not hold both the arc, 0.6, and the parabola, %.3f", r, u, parabola)
	}
}
