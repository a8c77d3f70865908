package undercut_test

import (
	"fmt"
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/prep/undercut"
	"selvage/r3"
)

// hollow presses a round dent of the given depth, radius 1.2 mm, into the wall at
// azimuth 1 and height 1.8: a cosine bell, so that its truth is a formula.
func hollow(depth float64) meshtest.Warp {
	return func(rho, phi, z float64) r3.Vec {
		a := math.Remainder(phi-1, 2*math.Pi) * rho
		r := math.Hypot(a, z-1.8) / 1.2
		if r < 1 && rho > 2 {
			rho -= depth * (1 + math.Cos(math.Pi*r)) / 2
		}
		return meshtest.Round(rho, phi, z)
	}
}

// truth is the greatest horizontal distance to the survey line and the area in
// shadow, from the formula on a fine grid. The wall is ρ = foot - (z - up)·tan τ.
func truth(s meshtest.Stump, depth float64) (deepest, area float64) {
	foot, up := s.Radius-s.Shelf, s.Shelf*math.Tan(s.Slope)
	const dz, da = 0.002, 0.002
	for a := -0.4; a < 0.4; a += da {
		survey := 0.0
		for z := 3.2; z > 0.55; z -= dz {
			rho := foot - (z-up)*math.Tan(s.Taper)
			r := math.Hypot(a*rho, z-1.8) / 1.2
			if r < 1 {
				rho -= depth * (1 + math.Cos(math.Pi*r)) / 2
			}
			if rho > survey {
				survey = rho
			} else {
				deepest = max(deepest, survey-rho)
				area += dz * da * rho
			}
		}
	}
	return deepest, area
}

// Known hollows in walls of 3° and 6°, with and without noise. The axis is given:
// what is proved here is the depth about it.
func TestHollow(t *testing.T) {
	for _, noise := range []float64{0, 0.010} {
		for _, taper := range []float64{3, 6} {
			for _, depth := range []float64{0, 0.15, 0.3, 0.5} {
				t.Run(fmt.Sprintf("noise=%g/taper=%g/depth=%g", noise, taper, depth), func(t *testing.T) {
					s := meshtest.DefaultStump()
					s.Taper = taper * math.Pi / 180
					m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, hollow(depth)), noise, 3)
					p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
					p.Noise, p.Spacing, p.Scan = noise, 0.1, "working"
					fan, _ := prep.Cut(p)
					mg, ok := margin.Detect(fan, margin.Options{})
					if !ok {
						t.Fatal("no margin")
					}
					got := undercut.Measure(mg, undercut.Options{})
					want, area := truth(s, depth)
					t.Logf("depth %.4f ± %.4f, want %.4f; area %.2f ± %.2f, want %.2f", got.Depth.V, got.Depth.U, want, got.Area.V, got.Area.U, area)
					if math.Abs(got.Depth.V-want) > got.Depth.U {
						t.Errorf("depth %.4f mm, want %.4f ± %.4f", got.Depth.V, want, got.Depth.U)
					}
					if math.Abs(got.Area.V-area) > got.Area.U {
						t.Errorf("area %.3f mm², want %.3f ± %.3f", got.Area.V, area, got.Area.U)
					}
					if got.Depth.V > 0 {
						at := got.Depth.Place.At
						if a := math.Abs(math.Remainder(math.Atan2(at.Y, at.X)-1, 2*math.Pi)); a > 0.15 || at.Z > 2.4 || at.Z < 0.6 {
							t.Errorf("place %v is not in the hollow", at)
						}
					}
				})
			}
		}
	}
}

// TestFoldOnTop: a fold of the surface on the biting surface is in nobody's way.
func TestFoldOnTop(t *testing.T) {
	s := meshtest.DefaultStump()
	fold := func(rho, phi, z float64) r3.Vec {
		if rho < 2.2 && z > 3.5 {
			z += 0.1 * (2.2 - rho) // the table falls outwards
			if rho > 1.3 && math.Abs(math.Remainder(phi-1, 2*math.Pi)) < 0.5 {
				rho -= 0.35
			}
		}
		return meshtest.Round(rho, phi, z)
	}
	m := meshtest.Lathe(s.Knots(), 0.1, 7, fold)
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Spacing, p.Scan = 0.1, "working"
	fan, _ := prep.Cut(p)
	mg, ok := margin.Detect(fan, margin.Options{})
	if !ok {
		t.Fatal("no margin")
	}
	if got := undercut.Measure(mg, undercut.Options{}); got.Depth.V != 0 {
		t.Errorf("a fold on top counts as an undercut of %.2f mm over %.2f mm²", got.Depth.V, got.Area.V)
	}
}
