package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep/margin"
)

// The type of finish lines of revolution, with 10 µm noise (bounds: trade.md §1.5,
// derived there). A heavy chamfer is one circle from the wall to the edge; a shoulder
// a flat with a small inner radius.
func TestFinishLineType(t *testing.T) {
	const deg = math.Pi / 180
	for _, c := range []struct {
		want                   margin.Kind
		shelf, internal, slope float64
	}{
		{margin.Chamfer, 0.5, 0.40, 25 * deg},
		{margin.HeavyChamfer, 1.0, 0.90, 8 * deg},
		{margin.Shoulder, 1.1, 0.25, 3 * deg},
		{margin.SlopedShoulder, 1.1, 0.25, 30 * deg},
	} {
		s := meshtest.DefaultStump()
		s.Shelf, s.Internal, s.Slope = c.shelf, c.internal, c.slope
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
		got, ok := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
		if !ok {
			t.Fatalf("%s: no wall found", c.want)
		}
		f := margin.Describe(got)
		if f.Kind != c.want {
			t.Errorf("%s (shelf %g, inner radius %g, slope %.0f°) was taken for %s: %v", c.want, c.shelf, c.internal, c.slope/deg, f.Kind, f.Share)
		}
		// Shelf is the distance to the wall's line produced; the profile leaves the wall
		// by 10° within the rounding, which starts up to its tangent's length higher, so
		// the measured width is the shelf less what the wall leans in over that.
		if math.Abs(f.WidthMedian.V-c.shelf) > 0.12 {
			t.Errorf("%s: width %.3f mm, want %.3f ± 0.12", c.want, f.WidthMedian.V, c.shelf)
		}
	}
}

// Noise must not narrow a shelf: measured with 20 µm of it a width is that of the exact
// surface within the stated uncertainty, the least of it too.
func TestWidthUnderNoise(t *testing.T) {
	s := meshtest.DefaultStump()
	measured := func(noise float64) margin.Finish {
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), noise, 3)
		got, ok := margin.Detect(cut(t, m, noise, 0.1), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		return margin.Describe(got)
	}
	exact, noisy := measured(0), measured(0.020)
	if d := noisy.WidthMedian.V - exact.WidthMedian.V; math.Abs(d) > noisy.WidthMedian.U/2 {
		t.Errorf("median width off by %.3f mm, U is %.3f", d, noisy.WidthMedian.U)
	}
	if d := noisy.WidthLeast.V - exact.WidthLeast.V; math.Abs(d) > noisy.WidthLeast.U {
		t.Errorf("least width off by %.3f mm, U is %.3f", d, noisy.WidthLeast.U)
	}
}
