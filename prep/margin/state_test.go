package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// A ball cut out of the scan at the margin leaves an arc that is not captured: its
// chord through the ball, plus the band of max(0.1 mm, twice the spacing) beside a
// rim at each end, where the line counts as lost too (methods.md §5).
func TestHoleIsNotCaptured(t *testing.T) {
	s := meshtest.DefaultStump()
	for _, radius := range []float64{0.8, 1.5} {
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
		rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
		const at = 2.1
		c := r3.V(rho*math.Cos(at), rho*math.Sin(at), z)
		cut2, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return m.Centroid(f).Dist(c) > radius })
		got, ok := margin.Detect(cut(t, cut2, 0.010, 0.1), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		st := got.Stretches(prep.NotCaptured, 0.3)
		if len(st) != 1 {
			t.Fatalf("radius %g: %d stretches not captured, want 1", radius, len(st))
		}
		arc := 2 * rho * 2 * math.Asin(radius/(2*rho))
		want := arc + 2*0.2
		if math.Abs(st[0].Length-want) > 0.3 {
			t.Errorf("radius %g: not captured %.2f mm, want %.2f ± 0.3", radius, st[0].Length, want)
		}
		mid := got.Points[st[0].Middle]
		if d := mid.At.Dist(c); d > 0.3 {
			t.Errorf("radius %g: the stretch's middle is %.2f mm from the hole's centre", radius, d)
		}
		for i, p := range got.Points {
			if p.State == prep.Unclear {
				t.Fatalf("point %d beside the hole is unclear, want readable or not captured", i)
			}
		}
	}
}

// TestLengthAtTheLimit: where a scan ends a hair's breadth from the distance that parts
// captured from not, that length is told, so that its uncertainty holds both answers; where
// it ends clearly nearer or farther off, none is.
func TestLengthAtTheLimit(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round)
	at := func(below float64) float64 {
		cut2, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool {
			c := m.Centroid(f)
			return c.Z > -below || math.Hypot(c.X, c.Y) > 6 || math.Atan2(c.Y, c.X) < 0
		})
		got, ok := margin.Detect(cut(t, cut2, 0, 0.1), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		return got.AtLimit(prep.Stretch{From: 0, To: len(got.Points) - 1})
	}
	if l := at(0.2); l < 3 {
		t.Errorf("%.2f mm at the limit where the scan ends there over half of the tooth", l)
	}
	if l := at(0.6); l > 1 {
		t.Errorf("%.2f mm at the limit where the scan ends far below it", l)
	}
}
