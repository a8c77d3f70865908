package dentition

import (
	"container/heap"
	"math"
	"sort"
)

// ring is what surrounds a place of the chart, azimuth by azimuth: the first wall
// of the surface there and how far it is from the wall to the next thing that
// stands as high.
//
//	edge
//	   ___
//	  /   \  wall: falls by wallDrop within wallRun
//	 /     \          ┌── next tooth
//	/       \___      │
//	   foot    \__gap─┘
type ring struct {
	wall [rays]float64 // distance of the middle of the wall; 0 where there is none
	fall [rays]float64 // the largest fall within wallRun, wall or not, mm
	brow [rays]float64 // how far the wall's edge lies below the highest point on the way to it, mm
	gap  [rays]float64 // from the wall to where the surface stands as high again, mm; maxGap if nowhere
	seen [rays]bool    // the scan shows what lies behind the wall
	foot [rays]float64 // height of the foot in the chart
	top  float64       // highest point inside the wall
}

// Measures of a ring, mm.
const (
	rays     = 48
	rayStep  = 0.2
	rayReach = 7.6 // half a molar's stump over its diagonal, and the gap beside it
	wallRun  = 0.8
	wallDrop = 1.4 // within wallRun: 60° from the occlusal plane
	footRun  = 1.2 // the foot lies within this of the wall's edge
	maxGap   = 5.0
)

// ringAt measures the ring round (x, y).
func (c *chart) ringAt(x, y float64) ring {
	var g ring
	var high [rays]float64
	for i := range rays {
		s, k := math.Sincos(2 * math.Pi * float64(i) / rays)
		high[i] = c.ray(&g, i, x, y, k, s)
	}
	// Rays that find their wall on another tooth must not raise the top.
	var near []float64
	for _, w := range g.wall {
		if w > 0 {
			near = append(near, w)
		}
	}
	g.top = math.Inf(-1)
	for i, w := range g.wall {
		if w > 0 && w <= 1.5*median(near) {
			g.top = max(g.top, high[i])
		}
	}
	return g
}

// ray measures one azimuth and returns the highest point on the way to its wall.
func (c *chart) ray(g *ring, i int, x, y, dx, dy float64) (high float64) {
	const (
		n   = int((rayReach + maxGap) / rayStep)
		run = int(wallRun / rayStep)
		lap = int(footRun / rayStep)
	)
	var z [n]float64
	for k := range z {
		r := float64(k) * rayStep
		z[k] = c.at(c.cellOf(x+r*dx, y+r*dy))
		if math.IsNaN(z[k]) { // nothing is seen: as deep as it gets
			z[k] = math.Inf(-1)
		}
	}
	g.gap[i] = maxGap
	edge := -1
	for k := 0; k < int(rayReach/rayStep) && edge < 0; k++ {
		fall := min(z[k]-z[k+run], 2*wallDrop)
		if !math.IsInf(z[k], -1) && fall > g.fall[i] {
			g.fall[i] = fall
		}
		if g.fall[i] >= wallDrop {
			edge = k
		}
	}
	high = math.Inf(-1)
	if edge < 0 {
		return high
	}
	g.wall[i] = (float64(edge) + float64(run)/2) * rayStep
	for k := range edge + 1 {
		high = max(high, z[k])
	}
	g.brow[i] = high - z[edge]
	g.foot[i], g.seen[i] = math.Inf(1), true
	for k := edge; k <= edge+lap; k++ {
		g.foot[i] = min(g.foot[i], z[k])
	}
	if math.IsInf(z[edge+run], -1) {
		g.seen[i] = false
	}
	for k := edge + run; k < n; k++ {
		if z[k] > z[edge]-wallDrop/2 {
			g.gap[i] = float64(k)*rayStep - g.wall[i]
			break
		}
	}
	return high
}

// size returns the median of the wall's distance and how far its 20th and 80th
// centiles lie apart, mm.
func (g *ring) size() (mid, spread float64) {
	var w []float64
	for _, r := range g.wall {
		if r > 0 {
			w = append(w, r)
		}
	}
	if len(w) == 0 {
		return 0, 0
	}
	sort.Float64s(w)
	return w[len(w)/2], w[len(w)*4/5] - w[len(w)/5]
}

// Measures of an island, mm.
const (
	islandHalf  = 6.0 // a stump lies within this of its middle; a neighbour's nearest cusp beyond
	islandSeek  = 1.5 // from the middle, where its highest point is looked for
	islandCells = 2   // cells of the chart per step of the flood: 0.4 mm, a third of the narrowest gap
)

// island returns by how much the water must fall below the highest point near
// (x, y) before one can walk dry from there to a place islandHalf away: the depth
// of the lowest pass. Two teeth in contact are joined 1 to 2.5 mm below their tops;
// round a prepared tooth runs its own shelf and the gum, several millimetres down.
// Both are 0 where nothing is met near the middle.
//
// aside is the depth of the lowest pass more than islandAside away from the first one,
// seen from the middle: of a stump over which one neighbour leans it is that of its
// shelf still, of a tooth between two others that of the other contact.
//
// Cost: O(n log n) for the n cells of the disc.
func (c *chart) island(x, y float64) (depth, aside float64) {
	ci, cj := c.cellOf(x, y)
	r := int(islandHalf / (c.cell * islandCells))
	seek := islandSeek / (c.cell * islandCells)
	side := 2*r + 1
	start, top := -1, math.Inf(-1)
	z := make([]float64, side*side)
	for b := -r; b <= r; b++ {
		for a := -r; a <= r; a++ {
			k := (b+r)*side + a + r
			z[k] = c.at(ci+a*islandCells, cj+b*islandCells)
			if float64(a*a+b*b) <= seek*seek && z[k] > top {
				start, top = k, z[k]
			}
		}
	}
	if start < 0 {
		return 0, 0
	}
	seen := make([]bool, side*side)
	seen[start] = true
	level := top
	depth = math.NaN()
	var pass xy // from the middle to the first pass
	q := shore{{start, top}}
	for len(q) > 0 {
		at := heap.Pop(&q).(land)
		level = min(level, at.z)
		i, j := at.cell%side, at.cell/side
		if (i-r)*(i-r)+(j-r)*(j-r) >= r*r {
			d := xy{float64(i - r), float64(j - r)}.unit()
			switch {
			case math.IsNaN(depth):
				depth, pass = top-level, d
			case d.dot(pass) < math.Cos(islandAside):
				return depth, top - level
			}
			continue // beyond lies another tooth
		}
		for _, e := range [8][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
			a, b := i+e[0], j+e[1]
			if a < 0 || b < 0 || a >= side || b >= side {
				continue
			}
			k := b*side + a
			if seen[k] || math.IsNaN(z[k]) {
				continue
			}
			seen[k] = true
			heap.Push(&q, land{k, z[k]})
		}
	}
	if math.IsNaN(depth) { // nothing is seen around it at all
		depth = islandMost
	}
	return depth, max(depth, islandMost)
}

// islandAside is half of the arc in which one neighbour may lean over a stump.
const islandAside = 65 * math.Pi / 180

// islandMost is the depth that counts for an island in unseen water.
const islandMost = 5.0

// land is a cell and its height.
type land struct {
	cell int
	z    float64
}

// shore is a heap of cells, highest first, then lowest number.
type shore []land

func (q shore) Len() int { return len(q) }
func (q shore) Less(i, j int) bool {
	if q[i].z != q[j].z {
		return q[i].z > q[j].z
	}
	return q[i].cell < q[j].cell
}
func (q shore) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *shore) Push(x any)   { *q = append(*q, x.(land)) }
func (q *shore) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
