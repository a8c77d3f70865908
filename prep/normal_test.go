package prep

import (
	"math"
	"testing"
)

// boxed returns the margin of an exact truncated pyramid: four plane walls that lean by
// taper to the axis, at distances dx and dy from it at height zero.
func boxed(dx, dy, taper float64) *Margin {
	t := math.Tan(taper)
	m := &Margin{Fan: &Fan{Step: FanStep, Profiles: make([]Profile, Azimuths)}, Walls: make([]WallLine, Azimuths)}
	for i := range m.Walls {
		phi := 2 * math.Pi * float64(i) / Azimuths
		s, c := math.Sincos(phi)
		// The half-plane leaves by the wall that it meets first: ρ·cos = d - t·z.
		d, k := dx, math.Abs(c)
		if dx*math.Abs(s) > dy*math.Abs(c) {
			d, k = dy, math.Abs(s)
		}
		p := &m.Fan.Profiles[i]
		p.Azimuth = phi
		w := WallLine{A: d / k, B: t / k, From: 0, To: 160, ok: true}
		for j := range 161 {
			p.Z = append(p.Z, 4-float64(j)*FanStep)
			p.Rho = append(p.Rho, w.At(p.Z[j]))
		}
		w.Inliers = 161
		m.Walls[i] = w
	}
	return m
}

// On plane walls the facets' normals are those of the planes up to a reach from the
// corners, however obliquely the half-planes cut them: the closed form of a pyramid.
func TestFacetsOnPlanes(t *testing.T) {
	const taper = 6 * math.Pi / 180
	m := boxed(1.2, 3.0, taper) // thin: the far end of the long side is cut at 68°
	tried := 0
	for i, f := range m.Facets() {
		phi := m.Fan.Profiles[i].Azimuth
		s, c := math.Sincos(phi)
		rho := m.Walls[i].At(2)
		x, y := math.Abs(rho*c), math.Abs(rho*s)
		if math.Min(math.Abs(x-1.2+2*math.Tan(taper)), math.Abs(y-3+2*math.Tan(taper))) > 1e-9 {
			t.Fatal("the pyramid is not one")
		}
		if math.Hypot(x-1.2+2*math.Tan(taper), y-3+2*math.Tan(taper)) < courseReach+0.1 {
			continue // a corner within reach
		}
		tried++
		if !f.OK {
			t.Fatalf("azimuth %.1f°: no facet", phi*180/math.Pi)
		}
		if tau := math.Asin(f.Normal.Z); math.Abs(tau-taper) > 1e-6 {
			t.Errorf("azimuth %.1f°: taper %.4f°, want 6°", phi*180/math.Pi, tau*180/math.Pi)
		}
	}
	if tried < Azimuths/2 {
		t.Fatalf("only %d azimuths were away from corners", tried)
	}
}
