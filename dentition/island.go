package dentition

import (
	"container/heap"
	"math"
)

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
// It is 0 where nothing is met near the middle.
//
// Cost: O(n log n) for the n cells of the disc.
func (c *chart) island(x, y float64) float64 {
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
		return 0
	}
	seen := make([]bool, side*side)
	seen[start] = true
	level := top
	q := shore{{start, top}}
	for len(q) > 0 {
		at := heap.Pop(&q).(land)
		level = min(level, at.z)
		i, j := at.cell%side, at.cell/side
		if (i-r)*(i-r)+(j-r)*(j-r) >= r*r {
			return top - level
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
	return islandMost // nothing is seen around it at all
}

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
