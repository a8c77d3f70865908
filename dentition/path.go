package dentition

import (
	"container/heap"
	"math"
)

// Costs of the path along the crest, per cell's width. The ratio decides what
// the path prefers: an empty stretch of the jaw (25 mm for three lost teeth)
// must be cheaper than the way across the mouth (45 mm from molar to molar).
const (
	costCrest = 1.0  // in the middle of the crest
	costSide  = 3.0  // at the edge of the crest: keeps the path in the middle
	costOff   = 15.0 // beside the crest, or where there is no surface
	sideReach = 1.5  // mm: how far from its edge the side of a crest reaches
)

// speck is the area in mm² below which a piece of the crest is no tooth: an
// incisal edge alone is 5 × 1 mm.
const speck = 3.0

// dropSpecks clears the pieces of mask smaller than speck. Cost: O(cells).
func (c *chart) dropSpecks(mask []bool) {
	least := int(speck / (c.cell * c.cell))
	seen := make([]bool, len(mask))
	var piece []int
	for k := range mask {
		if !mask[k] || seen[k] {
			continue
		}
		piece = append(piece[:0], k)
		seen[k] = true
		for q := 0; q < len(piece); q++ {
			c.around(piece[q], func(n int, _ float64) {
				if mask[n] && !seen[n] {
					seen[n] = true
					piece = append(piece, n)
				}
			})
		}
		if len(piece) < least {
			for _, q := range piece {
				mask[q] = false
			}
		}
	}
}

// around calls visit for the up to eight cells around cell k with their
// distance in cells.
func (c *chart) around(k int, visit func(n int, d float64)) {
	i, j := k%c.nx, k/c.nx
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			a, b := i+di, j+dj
			if (di == 0 && dj == 0) || a < 0 || b < 0 || a >= c.nx || b >= c.ny {
				continue
			}
			d := 1.0
			if di != 0 && dj != 0 {
				d = math.Sqrt2
			}
			visit(b*c.nx+a, d)
		}
	}
}

// longestPath returns the cells of the path between the two cells of mask that
// are farthest apart along it (three sweeps, exact on a tree). The path prefers the
// middle of the mask and leaves it only where it must. It is nil if mask is empty.
func (c *chart) longestPath(mask []bool) []int {
	start := -1
	for k, in := range mask {
		if in {
			start = k
			break
		}
	}
	if start < 0 {
		return nil
	}
	cost := c.pathCost(mask)
	a, _ := c.farthest(mask, cost, start)
	a, _ = c.farthest(mask, cost, a)
	b, from := c.farthest(mask, cost, a)
	var path []int
	for k := b; k >= 0; k = int(from[k]) {
		path = append(path, k)
	}
	return path
}

// pathCost returns what a cell's width of path costs in each cell.
func (c *chart) pathCost(mask []bool) []float64 {
	reach := int(math.Ceil(sideReach / c.cell))
	depth := make([]int, len(mask)) // cells from the edge of the mask, up to reach
	for round := 1; round <= reach; round++ {
		for k, in := range mask {
			if !in || depth[k] != round-1 {
				continue
			}
			inside := true
			c.around(k, func(n int, _ float64) {
				if !mask[n] || (round > 1 && depth[n] < round-1) {
					inside = false
				}
			})
			if inside {
				depth[k] = round
			}
		}
	}
	cost := make([]float64, len(mask))
	for k, in := range mask {
		if !in {
			cost[k] = costOff
			continue
		}
		cost[k] = costSide + (costCrest-costSide)*float64(depth[k])/float64(reach)
	}
	return cost
}

// offWorth is what a length of path beside the crest takes from its worth: a
// crumb beyond a gap is worth less than the gap costs, a molar more.
const offWorth = 0.3

// farthest returns the cell of mask to which the cheapest path from start is worth
// most, its length on the crest less offWorth times that beside it, and for each
// cell the one before it. (Cost itself would favour whatever is hard to reach.)
// Ties go to the lower cell.
func (c *chart) farthest(mask []bool, cost []float64, start int) (end int, from []int32) {
	dist := make([]float64, len(cost))
	worth := make([]float64, len(cost))
	from = make([]int32, len(cost))
	for k := range dist {
		dist[k] = math.Inf(1)
		from[k] = -1
	}
	dist[start] = 0
	q := frontier{{start, 0}}
	for len(q) > 0 {
		at := heap.Pop(&q).(reach)
		if at.d > dist[at.cell] {
			continue
		}
		c.around(at.cell, func(n int, w float64) {
			d := at.d + w*(cost[at.cell]+cost[n])/2
			if d >= dist[n] {
				return
			}
			dist[n] = d
			from[n] = int32(at.cell)
			if mask[n] {
				worth[n] = worth[at.cell] + w
			} else {
				worth[n] = worth[at.cell] - offWorth*w
			}
			heap.Push(&q, reach{n, d})
		})
	}
	end = start
	for k, in := range mask {
		if in && !math.IsInf(dist[k], 1) && worth[k] > worth[end] {
			end = k
		}
	}
	return end, from
}

// reach is a cell and how far it is.
type reach struct {
	cell int
	d    float64
}

// frontier is a heap of cells, nearest first, then lowest.
type frontier []reach

func (q frontier) Len() int { return len(q) }
func (q frontier) Less(i, j int) bool {
	if q[i].d != q[j].d {
		return q[i].d < q[j].d
	}
	return q[i].cell < q[j].cell
}
func (q frontier) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *frontier) Push(x any)   { *q = append(*q, x.(reach)) }
func (q *frontier) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
