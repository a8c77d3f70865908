package surface_test

import (
	"math"
	"testing"

	"selvage/surface"
)

// On a wavy sheet with noise the smooth normals lie nearer to the true ones; without
// noise they stay within the turn of the surface over three spacings.
func TestSmoothNormals(t *testing.T) {
	worst := func(sigma float64, rounds int) (rms float64) {
		m := sheet(-4, 4, -4, 4, 0.1, sigma, 1, wavy)
		n := 0
		for v, u := range surface.SmoothNormals(m, rounds) {
			p := m.Pos[v]
			if math.Abs(p.X) > 3 || math.Abs(p.Y) > 3 {
				continue
			}
			dx, dy := 0.5*math.Cos(p.X)*math.Cos(0.8*p.Y), -0.4*math.Sin(p.X)*math.Sin(0.8*p.Y)
			l := math.Sqrt(1 + dx*dx + dy*dy)
			e := math.Hypot(math.Hypot(u.X+dx/l, u.Y+dy/l), u.Z-1/l)
			rms, n = rms+e*e, n+1
		}
		return math.Sqrt(rms/float64(n)) * 180 / math.Pi
	}
	exact, raw, smooth := worst(0, 3), worst(0.045, 0), worst(0.045, 3)
	t.Logf("off by %.2f° exact, %.1f° raw, %.1f° smooth", exact, raw, smooth)
	if exact > 0.6 || raw < 15 || smooth > 7 {
		t.Errorf("off by %.2f° without noise, %.1f° with, %.1f° once smooth", exact, raw, smooth)
	}
}
