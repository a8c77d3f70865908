package surface_test

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// roof is a row of sharp ridges 120° wide, 3 mm apart, on a gently curved ground: at
// 0.1 mm spacing a fifth of all patches lies across a ridge or a valley.
func roof(u, v float64) place {
	t := math.Mod(u+300, 3) - 1.5
	z := -math.Abs(t)/math.Sqrt(3) - v*v/16
	s := -1.0
	if t < 0 {
		s = 1
	}
	n, _ := r3.V(-s/math.Sqrt(3), v/8, 1).Unit()
	return place{p: r3.V(u, v, z), n: n}
}

// TestNoiseIsFound: within 10 % of the truth, on smooth and on edged surfaces.
func TestNoiseIsFound(t *testing.T) {
	for _, c := range []struct {
		name string
		s    shape
	}{{"ball", ball(5)}, {"torus", torus(4, 1.2)}, {"roof", roof}} {
		for _, sigma := range []float64{0.005, 0.010, 0.020} {
			for _, spacing := range []float64{0.06, 0.1} {
				m, _ := scan(t, c.s, 6, spacing, sigma, 10)
				got, ok := surface.Noise(m, mesh.NewTopology(m))
				t.Logf("%s, spacing %.2f: noise %.1f µm of %.0f", c.name, spacing, 1000*got, 1000*sigma)
				if !ok || math.Abs(got/sigma-1) > 0.10 {
					t.Errorf("seed %d: %s, spacing %.2f: noise %.2f µm (%v), want %.0f ± 10 %%", *seedFlag, c.name, spacing, 1000*got, ok, 1000*sigma)
				}
			}
		}
	}
}

// TestNoiseOfAnExactSurface is that of the fit alone: a torus of 1.2 mm radius is a
// quadric over 0.28 mm to half a micrometre.
func TestNoiseOfAnExactSurface(t *testing.T) {
	m, _ := scan(t, torus(4, 1.2), 5, 0.1, 0, 11)
	if got, ok := surface.Noise(m, mesh.NewTopology(m)); !ok || got > 0.0005 {
		t.Errorf("noise of an exact torus %.2g mm (%v), want under 0.0005", got, ok)
	}
}

// TestNoiseOfACoarseScan: where shape passes for noise, none is told.
func TestNoiseOfACoarseScan(t *testing.T) {
	for _, spacing := range []float64{0.45, 0.9} {
		m, _ := scan(t, torus(4, 1.2), 12, spacing, 0, 11)
		if got, ok := surface.Noise(m, mesh.NewTopology(m)); ok {
			t.Errorf("spacing %.2f: %.1f µm of noise on an exact surface", spacing, 1000*got)
		}
	}
}

// TestNoiseRises: more noise, more found.
func TestNoiseRises(t *testing.T) {
	last := 0.0
	for _, sigma := range []float64{0.001, 0.002, 0.004, 0.008, 0.016, 0.032} {
		m, _ := scan(t, ball(5), 4, 0.12, sigma, 12)
		got, _ := surface.Noise(m, mesh.NewTopology(m))
		if got <= last {
			t.Errorf("noise %.3f mm: found %.5f, with half of it %.5f", sigma, got, last)
		}
		last = got
	}
}

// TestSpacingOfGrid: half squares of side s have the area of an equilateral triangle of
// edge s·√(2/√3).
func TestSpacingOfGrid(t *testing.T) {
	m, _ := scan(t, func(u, v float64) place { return place{p: r3.V(u, v, 0), n: r3.V(0, 0, 1)} }, 4, 0.1, 0, 13)
	want := 0.1 * math.Sqrt(2/math.Sqrt(3))
	if got := surface.Spacing(m); math.Abs(got/want-1) > 0.02 {
		t.Errorf("spacing %.4f, want %.4f ± 2 %%", got, want)
	}
}
