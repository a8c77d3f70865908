package margin

import (
	"math"
	"testing"

	"selvage/prep"
)

// TestDropStrays: a steep piece that lies below where the walls end is root, one far
// outside their course is a neighbour's, and the walls of a scalloped margin stay.
func TestDropStrays(t *testing.T) {
	const n, step = 120, 0.025
	fan := &prep.Fan{Step: step}
	walls := make([]prep.WallLine, n)
	for i := range n {
		phi := 2 * math.Pi * float64(i) / n
		rho, top := 4.0, 3+0.8*math.Cos(2*phi)
		switch {
		case i >= 20 && i < 34:
			rho, top = 4.4, -2.2 // 0.4 mm outside, and short
		case i >= 60 && i < 66:
			rho, top = 7, 4 // of the tooth beside it
		}
		p := prep.Profile{Azimuth: phi}
		for k := range 100 {
			p.Rho, p.Z, p.Gap = append(p.Rho, rho), append(p.Z, top-float64(k)*step), append(p.Gap, false)
		}
		fan.Profiles = append(fan.Profiles, p)
		walls[i] = prep.FindWall(&fan.Profiles[i], step, 0)
		if !walls[i].Found() {
			t.Fatalf("profile %d has no wall", i)
		}
	}
	dropStrays(fan, walls)
	for i := range walls {
		if want := !(i >= 20 && i < 34 || i >= 60 && i < 66); walls[i].Found() != want {
			t.Errorf("profile %d: kept %v, want %v", i, walls[i].Found(), want)
		}
	}
}
