package margin_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

func cut(t *testing.T, m *mesh.Mesh, noise, spacing float64) *prep.Fan {
	t.Helper()
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0.2, -0.1, 2), r3.V(0.03, -0.02, 1).UnitOr(r3.Vec{}), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Noise, p.Spacing, p.Scan = noise, spacing, "working"
	fan, ok := prep.Cut(p)
	if !ok {
		t.Fatal("axis meets no surface")
	}
	return fan
}

// The distance of the traced line from the exact crest, for stumps of revolution
// with a scalloped margin. Truth: the middle of the edge's circle, carried by the
// same warp as the surface.
func TestMarginOfStump(t *testing.T) {
	scallop := func(rho, phi, z float64) r3.Vec {
		w := 1 / (1 + math.Exp((z-1.5)/0.3)) // bends the margin, leaves the top
		return r3.V(rho*math.Cos(phi), rho*math.Sin(phi), z+0.5*w*math.Cos(2*phi))
	}
	for _, noise := range []float64{0, 0.010} {
		for _, shelf := range []float64{0.5, 0.8, 1.2} {
			s := meshtest.DefaultStump()
			s.Shelf, s.Internal = shelf, min(0.5, shelf/2)
			t.Run(fmt.Sprintf("shelf=%.1f/noise=%.3f", shelf, noise), func(t *testing.T) {
				m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, scallop), noise, 3)
				got, ok := margin.Detect(cut(t, m, noise, 0.1), margin.Options{})
				if !ok {
					t.Fatal("no wall found")
				}
				rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
				var d []float64
				sum := 0.0
				for _, p := range got.Points {
					if p.State != prep.Readable {
						t.Fatalf("point at %.0f° is %v, want readable", p.Azimuth*180/math.Pi, p.State)
					}
					e := math.Inf(1)
					for k := range 2000 {
						e = min(e, scallop(rho, 2*math.Pi*float64(k)/2000, z).Dist(p.At))
					}
					d = append(d, e)
					sum += e
				}
				slices.Sort(d)
				mean, p95, most := sum/float64(len(d)), d[len(d)*95/100], d[len(d)-1]
				t.Logf("mean %.4f p95 %.4f max %.4f mm", mean, p95, most)
				if mean > 0.02 || p95 > 0.04 || most > 0.12 {
					t.Errorf("mean %.4f p95 %.4f max %.4f mm, want <= 0.02, 0.04, 0.12", mean, p95, most)
				}
			})
		}
	}
}
