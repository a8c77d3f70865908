package prep_test

import (
	"math"
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// TestProfileCrossesASmallHole: a profile looks across a small hole also where the first
// face below it happens to lean inwards, as in an undercut, on the tip of a thin tooth, or
// by noise.
func TestProfileCrossesASmallHole(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.02, 3)
	const at = 1.0
	rho := s.Radius - s.Shelf + 2*math.Tan(-s.Taper)
	c := r3.V(rho*math.Cos(at), rho*math.Sin(at), 2)
	holed, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return m.Centroid(f).Dist(c) > 0.25 })
	p := prep.CutOut(holed, mesh.NewTopology(holed), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	fan, ok := prep.Cut(p)
	if !ok {
		t.Fatal("axis meets no surface")
	}
	k := int(math.Round(at / (2 * math.Pi) * prep.Azimuths))
	for i := k - 2; i <= k+2; i++ {
		q := &fan.Profiles[i]
		if z := p.Frame().Inverse().Point(r3.V(0, 0, slices.Min(q.Z))).Z; z > 0 {
			t.Errorf("profile %d comes down to height %.2f, want to the root below 0", i, z)
		}
	}
}

// TestProfileTurnsBackOverTheAxis: below a tip that leans over the surface comes back over
// the axis by 0.2 mm; the profile goes on from there.
func TestProfileTurnsBackOverTheAxis(t *testing.T) {
	s := meshtest.DefaultStump()
	s.Radius, s.Taper, s.LineAngle = 2, 8*math.Pi/180, 0.1
	const lean = 0.8
	tip := func(rho, phi, z float64) r3.Vec {
		k := max(z-3, 0)
		rho *= 1 - 0.8*k
		return r3.V(rho*math.Cos(phi)+lean*k, rho*math.Sin(phi), z)
	}
	m := meshtest.Lathe(s.Knots(), 0.06, 7, tip)
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(lean, 0, 4), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	fan, ok := prep.Cut(p)
	if !ok {
		t.Fatal("axis meets no surface")
	}
	for i := range fan.Profiles {
		if q := &fan.Profiles[i]; (i < 20 || i > 700) && q.Len() < 100 {
			t.Fatalf("profile %d ends after %d samples, on the tip", i, q.Len())
		}
	}
}
