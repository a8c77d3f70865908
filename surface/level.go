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
// [VertexAreas]. Cost: O(V log V).
func LowPatch(topo *mesh.Topology, area, f []float64, want float64) (p Patch, ok bool) {
	order := make([]mesh.VertexID, 0, len(f))
	for v, x := range f {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			order = append(order, mesh.VertexID(v))
		}
	}
	slices.SortFunc(order, func(a, b mesh.VertexID) int {
		switch {
		case f[a] < f[b]:
			return -1
		case f[a] > f[b]:
			return 1
		}
		return int(a - b)
	})
	pool := newPools(len(f), area)
	var ring []mesh.VertexID
	for rank, v := range order {
		pool.open(v, int32(rank))
		ring = topo.OneRing(ring, v)
		root := v
		for _, w := range ring {
			root = pool.join(root, w)
		}
		if pool.area[root] >= want {
			return Patch{Level: f[v], Lowest: order[pool.first[root]], Area: pool.area[root]}, true
		}
	}
	return Patch{}, false
}

// pools is a forest of connected sets of vertices with their areas.
type pools struct {
	parent []mesh.VertexID // None: not under water yet
	area   []float64
	first  []int32 // rank of the lowest member
}

func newPools(n int, area []float64) *pools {
	p := &pools{parent: make([]mesh.VertexID, n), area: slices.Clone(area), first: make([]int32, n)}
	for i := range p.parent {
		p.parent[i] = mesh.None
	}
	return p
}

func (p *pools) open(v mesh.VertexID, rank int32) {
	p.parent[v] = v
	p.first[v] = rank
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
	p.first[v] = min(p.first[v], p.first[w])
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
			ring = topo.OneRing(ring, set[i])
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
