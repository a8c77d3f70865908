package occlusion

import (
	"math"
	"testing"

	"selvage/measure"
	"selvage/r3"
)

// A bite in doubt leaves what is measured in it in as much doubt, along the way of closing.
func TestWorthGrowsWithTheDoubt(t *testing.T) {
	up := r3.V(0, 0, 1)
	leaning := measure.Place{Normal: r3.V(math.Sqrt(3)/2, 0, 0.5)} // 60°
	mm := func(v, u float64) measure.Value { return measure.Of(v, u, measure.MM) }
	for _, c := range []struct {
		name  string
		r     Result
		front bool
		want  float64
	}{
		{"sound", Result{Shift: mm(0.02, 0.04), PenetrationMax: mm(0.03, 0.02), Beside: []Beside{{Gap: mm(0.01, 0.02)}, {Gap: mm(0.6, 0.02)}}}, false, 0.1},
		{"nothing known", Result{}, false, 0.1},
		{"shifted", Result{Shift: mm(0.3, 0.04)}, false, math.Hypot(0.1, 0.3)},
		{"crossing", Result{PenetrationMax: mm(0.2, 0.02).At(measure.Place{Normal: up})}, false, math.Hypot(0.1, 0.2)},
		{"open on a slope", Result{Beside: []Beside{{Gap: mm(0.5, 0.02)}, {Gap: mm(0.15, 0.02).At(leaning)}}}, false, math.Hypot(0.1, 0.3)},
		{"open front, closed behind", Result{ContactCount: measure.Of(4, 0, measure.One), Beside: []Beside{{Gap: mm(0.5, 0.02)}}}, true, 0.1},
		{"closed further than before", Result{BeforeGap: mm(-0.25, 0.03).At(measure.Place{Normal: up})}, false, math.Hypot(0.1, 0.25)},
		{"before lies badly", Result{BeforeGap: mm(-0.9, 0.4).At(measure.Place{Normal: up})}, false, 0.1},
		{"no neighbour", Result{Gap: mm(0.4, 0.02).At(measure.Place{Normal: up})}, false, math.Hypot(0.1, 0.4)},
	} {
		if got := c.r.Worth(up, c.front); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %.4f mm, want %.4f", c.name, got, c.want)
		}
	}
}
