package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep"
	"selvage/prep/margin"
)

// TestTangentialKnifeEdge: an edge of 160° (trade.md §1.5) under a bevel that is 6° less
// steep than the wall, beside a sulcus whose crest turns by more than the edge: the line is
// found, the bevel is not taken into the wall, and the kind is told.
func TestTangentialKnifeEdge(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Taper, s.Slope = 7*math.Pi/180, 77*math.Pi/180
	s.Shelf, s.Internal = 0.08, 0.3
	for _, c := range []struct{ noise, mean float64 }{{0, 0.03}, {0.008, 0.05}} {
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.12, 7, meshtest.Round), c.noise, 3)
		got, ok := margin.Detect(cut(t, m, c.noise, 0.12), margin.Options{KnifeEdge: true})
		if !ok {
			t.Fatal("no wall found")
		}
		for i := range got.Points {
			if s := got.Points[i].State; s != prep.Readable && s != prep.NearEdge {
				t.Fatalf("noise %g: point %d is %v, want readable", c.noise, i, s)
			}
		}
		if off := meanOff(got, s); off > c.mean {
			t.Errorf("noise %g: %.3f mm from the edge in the mean, want under %g", c.noise, off, c.mean)
		}
		sum, n := 0.0, 0.0
		for i := range got.Walls {
			if w := &got.Walls[i]; w.Found() {
				sum, n = sum+w.Taper(), n+1
			}
		}
		if mean := sum / n * 180 / math.Pi; math.Abs(mean-7) > 0.4 || n < 700 {
			t.Errorf("noise %g: taper %.2f° over %.0f profiles, want 7° over all", c.noise, mean, n)
		}
		if f := margin.Describe(got); f.Kind != margin.KnifeEdge {
			t.Errorf("noise %g: kind %q, want a knife edge", c.noise, f.Kind)
		}
	}
}
