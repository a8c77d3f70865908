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

// A whole margin is whole at any spacing and noise that a scan may have: coarser than
// 0.15 mm twice the spacing is more than the 0.3 mm within which the rim is of
// interest, and at 36 µm a profile is a tenth longer than its neighbour by noise alone.
func TestWholeMarginIsCaptured(t *testing.T) {
	s := meshtest.DefaultStump()
	for _, c := range []struct{ spacing, noise, mean float64 }{{0.18, 0.010, 0.05}, {0.08, 0.036, 0.04}} {
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), c.spacing, 7, meshtest.Round), c.noise, 3)
		got, ok := margin.Detect(cut(t, m, c.noise, c.spacing), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		if off := meanOff(got, s); off > c.mean {
			t.Errorf("spacing %g, noise %g: %.3f mm from the crest in the mean, want under %g", c.spacing, c.noise, off, c.mean)
		}
		for i, p := range got.Points {
			if p.State != prep.Readable {
				t.Fatalf("spacing %g, noise %g: point %d is %v, want readable", c.spacing, c.noise, i, p.State)
			}
		}
	}
}

// Where the wall is missing in the scan the root below the margin is the longest steep
// line; the margin above it is to be found all the same.
func TestMarginBelowAHoleInTheWall(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
	holed, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool {
		c := m.Centroid(f)
		return math.Abs(math.Atan2(c.Y, c.X)) > 0.25 || c.Z < 0.7 || math.Hypot(c.X, c.Y) < 2
	})
	got, ok := margin.Detect(cut(t, holed, 0.010, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	if off := meanOff(got, s); off > 0.02 {
		t.Errorf("%.3f mm from the crest in the mean, want under 0.02", off)
	}
	for i, p := range got.Points {
		if p.State != prep.Readable && p.State != prep.NearEdge {
			t.Fatalf("point %d is %v, want readable", i, p.State)
		}
	}
}

// meanOff is the mean distance of a line from the exact crest of a round stump.
func meanOff(m *prep.Margin, s meshtest.Stump) float64 {
	rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	sum := 0.0
	for _, p := range m.Points {
		sum += math.Hypot(math.Hypot(p.At.X, p.At.Y)-rho, p.At.Z-z)
	}
	return sum / float64(len(m.Points))
}

// TestCourseAcrossAWideGap: where most of the line is missing the walls above it tell its
// course. The stump is oval, so that no single wave of the line that is left does.
func TestCourseAcrossAWideGap(t *testing.T) {
	s := meshtest.DefaultStump()
	oval := func(rho, phi, z float64) r3.Vec {
		w := 1 / (1 + math.Exp((z-1.5)/0.3)) // bends the margin, leaves the top
		k := 1 - 0.25*math.Sin(phi)*math.Sin(phi)
		return r3.V(k*rho*math.Cos(phi), k*rho*math.Sin(phi), z+0.5*w*math.Cos(2*phi))
	}
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, oval), 0.010, 3)
	holed, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool {
		c := m.Centroid(f)
		phi := math.Atan2(c.Y, c.X)
		return phi > -0.4 && phi < 1.6 || c.Z > 0.75+0.5*math.Cos(2*phi)
	})
	got, ok := margin.Detect(cut(t, holed, 0.010, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	far := 0.0
	for i := range got.Points {
		e := math.Inf(1)
		for k := range 2000 {
			e = min(e, oval(rho, 2*math.Pi*float64(k)/2000, z).Dist(got.Points[i].At))
		}
		far = max(far, e)
	}
	if far > 0.5 {
		t.Errorf("the line is %.2f mm off where it is not captured", far)
	}
}
