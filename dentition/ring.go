package dentition

import "math"

// ring is what surrounds a place of the chart, azimuth by azimuth: how the surface
// falls from the top of a stump to its foot and how far it is from there to the
// next thing that stands as high.
//
//	   ___
//	  /   \  wall (from 1.5 mm below the highest point so far)
//	 /     \          ┌── next tooth
//	/       \___      │
//	        foot \_gap/
type ring struct {
	wall [rays]float64 // distance at which the surface has fallen by wallDrop; 0 if it never does
	drop [rays]float64 // from the highest point inside to the foot, mm
	run  [rays]float64 // distance over which the surface falls from wallTop to wallDrop, mm
	gap  [rays]float64 // from wall to where the surface stands as high again, mm; maxGap if nowhere
	foot [rays]float64 // height of the foot in the chart
	top  float64       // highest point inside the wall
}

// Measures of a ring, mm.
const (
	rays     = 48
	rayStep  = 0.2
	rayReach = 9.0
	wallTop  = 0.8 // below the highest point: the rounded line angle lies above
	wallDrop = 2.3
	footRun  = 1.2 // the foot lies within this of the wall: 4 mm of height at 15° of taper
	maxGap   = 5.0
)

// ringAt measures the ring round (x, y).
func (c *chart) ringAt(x, y float64) ring {
	var g ring
	g.top = math.Inf(-1)
	for i := range rays {
		s, k := math.Sincos(2 * math.Pi * float64(i) / rays)
		c.ray(&g, i, x, y, k, s)
	}
	return g
}

// ray measures one azimuth.
func (c *chart) ray(g *ring, i int, x, y, dx, dy float64) {
	high := math.Inf(-1)
	wall, low, edge := 0.0, math.Inf(1), 0.0
	g.gap[i] = maxGap
	for r := 0.0; r < rayReach; r += rayStep {
		z := c.at(c.cellOf(x+r*dx, y+r*dy))
		if math.IsNaN(z) {
			if wall > 0 && r < wall+footRun { // nothing is seen beyond: as deep as it gets
				low = min(low, high-wallDrop-rayStep)
			}
			continue
		}
		switch {
		case wall == 0:
			high = max(high, z)
			if z >= high-wallTop {
				edge = r
			}
			if z < high-wallDrop {
				wall, low = r, z
			}
		case r < wall+footRun:
			low = min(low, z)
		}
		if wall > 0 && z > high-wallDrop/2 {
			g.gap[i] = r - wall
			break
		}
	}
	if wall > 0 {
		g.wall[i], g.run[i], g.drop[i], g.foot[i] = wall, wall-edge, high-low, low
		g.top = max(g.top, high)
	}
}
