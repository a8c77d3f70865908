package surface

import (
	"math"
	"slices"

	"selvage/mesh"
)

// VertexAreas returns the share of the surface that each vertex stands for: a
// third of the area of each of its faces. Cost: O(F).
func VertexAreas(m *mesh.Mesh) []float64 {
	a := make([]float64, len(m.Pos))
	for f, t := range m.Tri {
		third := m.AreaVector(mesh.FaceID(f)).Norm() / 3
		for _, v := range t {
			a[v] += third
		}
	}
	return a
}

// Patch is a connected part of a surface on which a field stays below a level.
type Patch struct {
	Level  float64       // the highest value in it
	Lowest mesh.VertexID // where the field is least in it
	Area   float64       // mm²
}

// LowPatch returns the lowest patch of a field f that is not a mere spike: the
// connected set of vertices with f ≤ Level whose area first reaches want as Level
// rises. Vertices whose f is not finite belong to no patch.
//
// It is the basin filling with water: Level is where the first pool is as large as
// want. The least value of a noisy field is biased low and one stray point can set
// it; the level of a patch is neither. Ties go to the lowest vertex. ok is false
// where no connected part of the surface is as large as want. area is as from
// [VertexAreas]. Cost: O(V + k log V) for
// the k vertices at or below the level.
func LowPatch(topo *mesh.Topology, area, f []float64, want float64) (p Patch, ok bool) {
	q := newLowest(f)
	pool := newPools(len(f), area)
	var ring []mesh.VertexID
	for len(q.heap) > 0 {
		v := q.pop()
		pool.open(v)
		ring = oneRing(topo, ring, v)
		root := v
		for _, w := range ring {
			root = pool.join(root, w)
		}
		if pool.area[root] >= want {
			return Patch{Level: f[v], Lowest: pool.oldest[root], Area: pool.area[root]}, true
		}
	}
	return Patch{}, false
}

// lowest hands out the vertices of a field from the lowest value up, equal ones by
// id. A heap, since the search for a patch ends early: most of a field is never
// put in order.
type lowest struct {
	f    []float64
	heap []mesh.VertexID
}

func newLowest(f []float64) *lowest {
	q := &lowest{f: f, heap: make([]mesh.VertexID, 0, len(f))}
	for v, x := range f {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			q.heap = append(q.heap, mesh.VertexID(v))
		}
	}
	for i := len(q.heap)/2 - 1; i >= 0; i-- {
		q.down(i)
	}
	return q
}

func (q *lowest) less(v, w mesh.VertexID) bool {
	return q.f[v] < q.f[w] || q.f[v] == q.f[w] && v < w
}

func (q *lowest) down(i int) {
	h := q.heap
	for {
		k := 2*i + 1
		if k >= len(h) {
			return
		}
		if k+1 < len(h) && q.less(h[k+1], h[k]) {
			k++
		}
		if !q.less(h[k], h[i]) {
			return
		}
		h[i], h[k] = h[k], h[i]
		i = k
	}
}

func (q *lowest) pop() mesh.VertexID {
	v, last := q.heap[0], len(q.heap)-1
	q.heap[0] = q.heap[last]
	q.heap = q.heap[:last]
	q.down(0)
	return v
}

// pools is a forest of connected sets of vertices with their areas.
type pools struct {
	parent []mesh.VertexID // None: not under water yet
	area   []float64
	oldest []mesh.VertexID // the first member, the lowest of the field
	opened []int32         // when a vertex went under, from 1
	n      int32
}

func newPools(n int, area []float64) *pools {
	p := &pools{
		parent: make([]mesh.VertexID, n), area: slices.Clone(area),
		oldest: make([]mesh.VertexID, n), opened: make([]int32, n),
	}
	for i := range p.parent {
		p.parent[i] = mesh.None
	}
	return p
}

func (p *pools) open(v mesh.VertexID) {
	p.n++
	p.parent[v], p.oldest[v], p.opened[v] = v, v, p.n
}

func (p *pools) root(v mesh.VertexID) mesh.VertexID {
	for p.parent[v] != v {
		p.parent[v] = p.parent[p.parent[v]]
		v = p.parent[v]
	}
	return v
}

// join makes one pool of those of v and w, if w is under water, and returns its
// root: that of the larger, so that the trees stay flat.
func (p *pools) join(v, w mesh.VertexID) mesh.VertexID {
	v = p.root(v)
	if p.parent[w] == mesh.None {
		return v
	}
	w = p.root(w)
	if v == w {
		return v
	}
	if p.area[w] > p.area[v] {
		v, w = w, v
	}
	p.parent[w] = v
	p.area[v] += p.area[w]
	if p.opened[p.oldest[w]] < p.opened[p.oldest[v]] {
		p.oldest[v] = p.oldest[w]
	}
	return v
}

// Regions returns the connected sets of vertices that in accepts, each in rising
// order, by the order of their lowest vertex. Cost: O(V).
func Regions(topo *mesh.Topology, in []bool) [][]mesh.VertexID {
	var out [][]mesh.VertexID
	seen := make([]bool, len(in))
	var ring []mesh.VertexID
	for v, yes := range in {
		if !yes || seen[v] {
			continue
		}
		seen[v] = true
		set := []mesh.VertexID{mesh.VertexID(v)}
		for i := 0; i < len(set); i++ {
			ring = oneRing(topo, ring, set[i])
			for _, w := range ring {
				if in[w] && !seen[w] {
					seen[w] = true
					set = append(set, w)
				}
			}
		}
		slices.Sort(set)
		out = append(out, set)
	}
	return out
}
