package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// Over a quarter of the tooth the longest straight part of the profile is a plane high
// above the finish line, as the palatal face of a canine is. The line below it is found
// there as it is elsewhere.
func TestMarginFarBelowThePlane(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Shelf, s.Slope, s.Internal, s.Height = 0.5, 68*math.Pi/180, 0.5, 9.5
	const from, lean = 4.2, 25 * math.Pi / 180
	plane := func(rho, phi, z float64) r3.Vec {
		if z > from {
			side := 1 / (1 + math.Exp((math.Abs(phi-math.Pi)-0.8)/0.05))
			rho -= min((z-from)*math.Tan(lean)*side, 0.9*rho)
		}
		return r3.V(rho*math.Cos(phi), rho*math.Sin(phi), z)
	}
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, plane), 0.008, 3)
	got, ok := margin.Detect(cut(t, m, 0.008, 0.1), margin.Options{KnifeEdge: true})
	if !ok {
		t.Fatal("no wall found")
	}
	rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	bad := 0
	for _, p := range got.Points {
		if p.State != prep.Readable || math.Hypot(math.Hypot(p.At.X, p.At.Y)-rho, p.At.Z-z) > 0.2 {
			bad++
		}
	}
	if bad > 0 {
		t.Errorf("%d of %d points are not on the line", bad, len(got.Points))
	}
}

// TestWallAboveASheet: a sheet closes a hole from the upper third of the wall down to the
// line. What stands above it is not the wall that leads to the line, and the sheet, at 35°,
// is steep enough to pass for one.
func TestWallAboveASheet(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Height = 5.5
	const from, half = 3.2, 0.6
	sheet := func(rho, phi, z float64) r3.Vec {
		if math.Abs(math.Remainder(phi-1, 2*math.Pi)) < half && z > 0.05 && z < from {
			rho = max(rho, s.Radius-z*(s.Radius-3.7)/from)
		}
		return r3.V(rho*math.Cos(phi), rho*math.Sin(phi), z)
	}
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, sheet), 0.005, 3)
	got, ok := margin.Detect(cut(t, m, 0.005, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	g := got.Fan.Prep.Frame()
	for i := range got.Walls {
		w := &got.Walls[i]
		phi := math.Remainder(got.Fan.Profiles[i].Azimuth-1, 2*math.Pi)
		switch {
		case math.Abs(phi) < half-0.2 && w.Found() && got.Fan.Profiles[i].Z[w.Foot]-g.Point(got.Points[i].At).Z > 2:
			t.Fatalf("profile %d: what stands above the sheet passes for the wall", i)
		case math.Abs(phi) > half+0.2 && !w.Found():
			t.Fatalf("profile %d: the wall beside the sheet was dropped", i)
		}
	}
}
