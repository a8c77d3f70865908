package surface

import (
	"math"

	"selvage/mesh"
)

// Geodesic returns for every vertex the length of the shortest way along edges from
// the nearest source, in mm; +Inf beyond max and where no way leads.
//
// A way along edges is longer than the straight one over the surface: on a grid of
// squares with diagonals by up to 8 % where these run both ways and up to 41 % square to
// them where all run one way, on an irregular triangulation by about 5 % everywhere.
// Use it to bound a neighbourhood, not to measure.
//
// Method: [Dijkstra1959]. Cost: O(n log n) for the n vertices within max, and 8 bytes
// per vertex.
func Geodesic(m *mesh.Mesh, topo *mesh.Topology, sources []mesh.VertexID, max float64) []float64 {
	d := make([]float64, len(m.Pos))
	for i := range d {
		d[i] = math.Inf(1)
	}
	var q front
	for _, v := range sources {
		if d[v] != 0 {
			d[v] = 0
			q.push(wave{0, v})
		}
	}
	var ring []mesh.VertexID
	for len(q) > 0 {
		w := q.pop()
		if w.d > d[w.v] {
			continue // reached on a shorter way since
		}
		ring = topo.OneRing(ring, w.v)
		for _, u := range ring {
			if e := w.d + m.Pos[w.v].Dist(m.Pos[u]); e < d[u] && e <= max {
				d[u] = e
				q.push(wave{e, u})
			}
		}
	}
	return d
}

// wave is a vertex that the front has reached at distance d.
type wave struct {
	d float64
	v mesh.VertexID
}

func (a wave) before(b wave) bool { return a.d < b.d || a.d == b.d && a.v < b.v }

// front is a binary heap of waves, the nearest first.
type front []wave

func (q *front) push(w wave) {
	h := append(*q, w)
	i := len(h) - 1
	for i > 0 && w.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = w
	*q = h
}

func (q *front) pop() wave {
	h := *q
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for {
		k := 2*i + 1
		if k >= len(h) {
			break
		}
		if k+1 < len(h) && h[k+1].before(h[k]) {
			k++
		}
		if !h[k].before(last) {
			break
		}
		h[i] = h[k]
		i = k
	}
	if len(h) > 0 {
		h[i] = last
	}
	*q = h
	return top
}
