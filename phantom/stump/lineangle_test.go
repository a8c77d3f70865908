package stump_test

import (
	"math"
	"testing"

	"selvage/phantom/stump"
	"selvage/r3"
)

// TestLineAngleStandsAt45: the height of a wall ends where the surface itself, by chords
// of it within the half-plane, stands at 45° to the axis.
func TestLineAngleStandsAt45(t *testing.T) {
	s := shape()
	s.LineAngle = 0.8
	w := stump.New(molar(t), s)
	d, err := stump.NewSections(w)
	if err != nil {
		t.Fatal(err)
	}
	back := d.Frame.Inverse()
	for _, q := range d.LineAngle() {
		radial := r3.V(q.X, q.Y, 0).UnitOr(r3.V(1, 0, 0))
		// Across a profile that stands at 45° the surface lies at the same distance from
		// two points on the profile's own tangent, whatever its curvature.
		const reach = 0.05
		tangent := r3.V(0, 0, 1).Sub(radial).Scale(math.Sqrt2 / 2)
		up := w.Local(back.Point(q.AddScaled(reach, tangent))).D
		down := w.Local(back.Point(q.AddScaled(-reach, tangent))).D
		if off := math.Asin((up-down)/(2*reach)) * 180 / math.Pi; math.Abs(off) > 2.5 { // the last step of the walk goes up to 0.04 mm beyond
			t.Errorf("azimuth %.0f°: the profile stands %.1f° off 45°", math.Atan2(q.Y, q.X)*180/math.Pi, off)
		}
	}
}

// TestSharpEdgeOfRound: an edge asked for with 0.8 mm has no place under half of that;
// one asked for with 0.12 mm is as sharp as a tool does not enter.
func TestSharpEdgeOfRound(t *testing.T) {
	for _, c := range []struct{ asked, least, most float64 }{{0.8, 0.4, 0.85}, {0.12, 0.05, 0.13}} {
		s := shape()
		s.LineAngle = c.asked
		w := stump.New(molar(t), s)
		d, err := stump.NewSections(w)
		if err != nil {
			t.Fatal(err)
		}
		back := d.Frame.Inverse()
		var near []r3.Vec
		for _, q := range d.LineAngle() {
			near = append(near, back.Point(q))
		}
		if got := w.SharpEdge(near); got < c.least || got > c.most {
			t.Errorf("LineAngle %v: least radius %.3f mm, want %v to %v", c.asked, got, c.least, c.most)
		}
	}
}
