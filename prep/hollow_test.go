package prep_test

import (
	"math"
	"testing"

	"selvage/prep"
)

// TestHollowIsNoSecondPlane: a wall that ends far below the line angle is cut short by a
// hollow where the profile comes back to its line above, and not where it runs on inwards
// to the line angle, as over the cingulum of a front tooth.
func TestHollowIsNoSecondPlane(t *testing.T) {
	const step, top, taper = 0.025, 5.0, 6 * math.Pi / 180
	line := func(z float64) float64 { return 4 - z*math.Tan(taper) }
	profile := func(rho func(z float64) float64) prep.Profile {
		var p prep.Profile
		add := func(r, z float64) { p.Rho, p.Z, p.Gap = append(p.Rho, r), append(p.Z, z), append(p.Gap, false) }
		for r := 0.0; r < rho(top); r += step {
			add(r, top)
		}
		for z := top; z > 0; z -= step {
			add(rho(z), z)
		}
		for r := line(0); r < 5; r += step {
			add(r, 0)
		}
		return p
	}
	hollow := profile(func(z float64) float64 { // 0.3 mm deep from 2.5 to 4.8
		u := 1 - math.Pow((z-3.65)/1.15, 2)
		return line(z) - 0.3*math.Sqrt(max(u, 0))
	})
	fossa := profile(func(z float64) float64 { return line(z) - max(z-2.5, 0)*math.Tan(35*math.Pi/180) })
	plain := profile(line)
	fan := &prep.Fan{Step: step, Profiles: []prep.Profile{plain, hollow, plain, fossa, plain, plain}}
	m := &prep.Margin{Fan: fan}
	for i := range fan.Profiles {
		m.Walls = append(m.Walls, prep.FindWall(&fan.Profiles[i], step, 0))
	}
	for i, got := range m.Hollowed() {
		if want := i == 1; got != want {
			w := m.Walls[i]
			t.Errorf("profile %d: hollow %v, want %v (wall from z %.2f, line angle at sample %d)", i, got, want, fan.Profiles[i].Z[w.From], w.LineAngle)
		}
	}
}
