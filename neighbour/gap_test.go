package neighbour_test

import (
	"math"
	"testing"

	"selvage/neighbour"
)

// leaning is a side that stands upright from 5 mm above the margin on, 7 mm from the middle,
// and leans back below by a slope.
func leaning(slope float64) side {
	return func(_, z float64) float64 { return 7 + slope*max(0, 5-z) }
}

// sloped is a side over gum that runs down at 45° towards the margin from a height on.
func sloped(f side, height float64) side {
	return func(y, z float64) float64 { return f(y, max(z, height)) - max(0, height-z) }
}

// TestGapUnderGum: from (5, 0, 0) to the plane x = 7 + s·(5-z) it is (2 + 5s)/√(1+s²), at a
// height that the gum hides. Gum that comes forward is no part of the wall, level or at 45°,
// and however high it stands.
func TestGapUnderGum(t *testing.T) {
	for _, slope := range []float64{0.1, 0.2, 0.3} {
		f := leaning(slope)
		want := (2 + 5*slope) / math.Hypot(1, slope)
		for name, s := range map[string]side{
			"level": nil, "0.8 mm high": sloped(f, 0.8), "1.4 mm high": sloped(f, 1.4), "2 mm high": sloped(f, 2), "2.2 mm high": sloped(f, 2.2),
		} {
			in := input(scan(f, true))
			if s != nil {
				in = input(scan(s, false))
			}
			if g := neighbour.Measure(in).Gap; !(math.Abs(g.V-want) < 0.03) || g.U > 0.45 {
				t.Errorf("slope %.1f, gum %s: gap %.3f ± %.3f, want %.3f", slope, name, g.V, g.U, want)
			}
		}
	}
}

// TestGapOverGumIsOfTheLowestPart: what is carried on is the lowest millimetre and a half of
// the wall: a crown that leans back above stands upright there, or the other way about.
func TestGapOverGumIsOfTheLowestPart(t *testing.T) {
	for _, c := range []struct{ low, high float64 }{{0, 0.3}, {0.3, 0}, {0.15, 0.6}} {
		f := func(_, z float64) float64 { return 7 + c.low*max(0, 2.6-z) + c.high*max(0, 5-max(z, 2.6)) }
		want := (2 + 2.6*c.low + 2.4*c.high) / math.Hypot(1, c.low)
		if g := neighbour.Measure(input(scan(f, true))).Gap; !(math.Abs(g.V-want) < 0.03) {
			t.Errorf("%.2f below, %.2f above: gap %.3f ± %.3f, want %.3f", c.low, c.high, g.V, g.U, want)
		}
	}
}

// TestNeckDoesNotComeForward: below a crown that overhangs the gum its neck goes straight
// down; it is not carried on towards the preparation.
func TestNeckDoesNotComeForward(t *testing.T) {
	f := func(_, z float64) float64 { return 7 - 0.25*max(0, 4-z) }
	// The lowest part that is fitted begins 0.2 mm above the gum.
	want := f(0, 1) - 5
	if g := neighbour.Measure(input(scan(f, true))).Gap; !(math.Abs(g.V-want) < 0.05) {
		t.Errorf("gap %.3f ± %.3f, want %.3f", g.V, g.U, want)
	}
}

// TestGapHoldsANeckThatNarrows: below the gum a neck may narrow by 10° more than the wall
// above it. The more of it is hidden the less surely the gap is known, and it says so.
func TestGapHoldsANeckThatNarrows(t *testing.T) {
	last := 0.0
	for _, gum := range []float64{0.5, 1.1, 1.7} {
		f := func(_, z float64) float64 { return 7 + math.Tan(10*math.Pi/180)*max(0, gum-z) }
		g := neighbour.Measure(input(scan(sloped(f, gum), false))).Gap
		want := gapOf(f)
		if math.Abs(g.V-want) > g.U || g.U > 0.45 || g.U <= last {
			t.Errorf("%.1f mm under gum: gap %.3f ± %.3f, want %.3f", gum, g.V, g.U, want)
		}
		last = g.U
	}
}

// TestTowardACrowdedNeighbour: the way to the neighbour may turn by up to 40° from the row;
// a point that lies farther aside is not on the side that faces the gap.
func TestTowardACrowdedNeighbour(t *testing.T) {
	want := gapOf(barrel)
	for _, deg := range []float64{60, 80} {
		in := input(scan(barrel, false))
		s, c := math.Sincos(deg * math.Pi / 180)
		in.Facing.X, in.Facing.Y = 7*c, 7*s
		if g := neighbour.Measure(in).Gap; !(math.Abs(g.V-want) < 0.12) {
			t.Errorf("a point %v° aside: gap %.3f ± %.3f, want %.3f", deg, g.V, g.U, want)
		}
	}
	// The whole mouth turned by 30° but for the row's direction.
	in := input(scan(barrel, false))
	s, c := math.Sincos(-30 * math.Pi / 180)
	in.Toward.X, in.Toward.Y = c, s
	if r := neighbour.Measure(in); !(math.Abs(r.Gap.V-want) < 0.12) || r.Contact.Dist(in.Facing) > 0.1 {
		t.Errorf("30° out of line: gap %.3f, want %.3f; contact at %v", r.Gap.V, want, r.Contact)
	}
}
