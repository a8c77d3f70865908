package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep/margin"
)

// The stump's root runs 0.8 mm down at 5° to the axis from the sharp corner at z =
// 0; its floor's roundings of 0.05 mm shorten the steep part by about as much. At
// the margin's level the gum stands beyond the floor's 0.4 mm plus its own slope of
// 0.3 mm over 1.5 mm.
func TestBeyondStump(t *testing.T) {
	s := meshtest.DefaultStump()
	for _, noise := range []float64{0, 0.010} {
		m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), noise, 3)
		got, ok := margin.Detect(cut(t, m, noise, 0.1), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		b := margin.Beyond(got)
		root := s.Root / math.Cos(5*math.Pi/180)
		if math.Abs(b.Root.V-root) > 0.12 {
			t.Errorf("noise %g: root seen %.3f mm, want %.3f ± 0.12", noise, b.Root.V, root)
		}
		k := s.Knots()
		floor := k[5]
		gum := floor.Rho + (s.Root/(s.Root+0.7))*0.3 // the gum's slope crosses z = 0 here
		if want := gum - s.Radius; math.Abs(b.Sulcus.V-want) > 0.06 {
			t.Errorf("noise %g: sulcus %.3f mm, want %.3f ± 0.06", noise, b.Sulcus.V, want)
		}
		if r := margin.Roughness(got); !r.Measured() || r.V > 15 {
			t.Errorf("noise %g: roughness %.1f µm of a round margin, want under 15", noise, r.V)
		}
	}
}

// On a rough scan single facets of the root lie flatter than 45°: the least root seen is
// still that of the stump, but for its uncertainty.
func TestBeyondRoughStump(t *testing.T) {
	s := meshtest.DefaultStump()
	const noise, spacing = 0.036, 0.065
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), spacing, 7, meshtest.Round), noise, 3)
	got, ok := margin.Detect(cut(t, m, noise, spacing), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	root := s.Root / math.Cos(5*math.Pi/180)
	if b := margin.Beyond(got); math.Abs(b.Root.V-root) > b.Root.U {
		t.Errorf("root seen %.3f ± %.3f mm, want %.3f", b.Root.V, b.Root.U, root)
	}
}

// Where the crest of the gum stays below the margin the sulcus is as wide as the crest
// is far from the line; the surface that reaches the margin's level farther out is the
// neighbour's or the cheek's.
func TestSulcusBelowTheMargin(t *testing.T) {
	s := meshtest.DefaultStump()
	k := s.Knots()
	floor := k[5]
	crest := floor.Rho + 0.1
	k = append(k[:6], meshtest.Knot{Rho: crest, Z: -0.3, R: 0.05}, meshtest.Knot{Rho: crest + 1.2, Z: -0.9, R: 0.1}, meshtest.Knot{Rho: crest + 1.8, Z: 1})
	m := meshtest.Rough(meshtest.Lathe(k, 0.1, 7, meshtest.Round), 0.010, 3)
	got, ok := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	b := margin.Beyond(got)
	if want := crest - s.Radius; math.Abs(b.Sulcus.V-want) > b.Sulcus.U {
		t.Errorf("sulcus %.3f ± %.3f mm, want %.3f", b.Sulcus.V, b.Sulcus.U, want)
	}
}
