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
// Method: [Dijkstra1959], the front kept in buckets as wide as an edge is long
// [MeyerSanders2003]. Cost: O(n) for the n vertices within max where edges are of one
// order of length, and 16 bytes per vertex.
func Geodesic(m *mesh.Mesh, topo *mesh.Topology, sources []mesh.VertexID, max float64) []float64 {
	w := newWaves(m, topo, sources)
	for _, v := range sources {
		w.reach(v, 0)
	}
	var ring []mesh.VertexID
	for w.fill() {
		for len(w.bucket[w.now%wavesWide]) > 0 {
			list := w.bucket[w.now%wavesWide]
			w.bucket[w.now%wavesWide] = w.spare[:0]
			for _, v := range list {
				w.waiting--
				d := w.d[v]
				if w.left[v] == d {
					continue // it has gone on from here, or from an earlier bucket
				}
				w.left[v] = d
				ring = oneRing(topo, ring, v)
				at := m.Pos[v]
				for _, u := range ring {
					if e := d + at.Dist(m.Pos[u]); e < w.d[u] && e <= max {
						w.reach(u, e)
					}
				}
			}
			w.spare = list
		}
		w.now++
	}
	return w.d
}

// waves is the front of [Geodesic]: bucket k holds the vertices whose distance was last
// found between k and k+1 widths.
//
// A heap orders what needs no order: within one edge of the front the vertices may go on
// in any order, and those few that are reached again on a shorter way go on again. The
// distances are the same to the bit, for each is the least of the same sums; a vertex
// costs a push and a pop of a list instead of seventeen comparisons that miss the cache.
type waves struct {
	d, left []float64 // the least distance so far, and that from which a vertex last went on
	width   float64   // mm
	bucket  [wavesWide][]mesh.VertexID
	now     int // the bucket at the front, without end; its place is modulo wavesWide
	waiting int // vertices in buckets
	far     []mesh.VertexID
	nearest int // bucket of the nearest in far
	spare   []mesh.VertexID
}

// wavesWide is the number of buckets at hand; a longer edge waits in far.
const wavesWide = 64

func newWaves(m *mesh.Mesh, topo *mesh.Topology, sources []mesh.VertexID) *waves {
	w := &waves{d: make([]float64, len(m.Pos)), left: make([]float64, len(m.Pos)), nearest: math.MaxInt}
	for v := range w.d {
		w.d[v], w.left[v] = math.Inf(1), math.Inf(1)
	}
	// The width is the mean edge about the sources. Too wide goes to and fro, too narrow
	// looks into empty buckets: a factor of three either way costs a third.
	var ring []mesh.VertexID
	sum, n := 0.0, 0.0
	for _, v := range sources[:min(len(sources), 16)] {
		ring = oneRing(topo, ring, v)
		for _, u := range ring {
			sum, n = sum+m.Pos[u].Dist(m.Pos[v]), n+1
		}
	}
	if w.width = sum / n; !(w.width > 0) || math.IsInf(w.width, 1) {
		w.width = 1
	}
	return w
}

// reach notes that v is d away and queues it.
func (w *waves) reach(v mesh.VertexID, d float64) {
	w.d[v] = d
	k := w.place(d)
	if k-w.now >= wavesWide {
		w.far = append(w.far, v)
		w.nearest = min(w.nearest, k)
		return
	}
	b := &w.bucket[k%wavesWide]
	*b = append(*b, v)
	w.waiting++
}

// place returns the bucket of a distance; bounded, lest a distance of a million widths
// leave the range of integers.
func (w *waves) place(d float64) int { return int(min(d/w.width, 1<<52)) }

// fill brings what has come near out of far and moves to the next bucket that can hold
// anything. It reports false where nothing waits.
func (w *waves) fill() bool {
	if w.waiting == 0 {
		if len(w.far) == 0 {
			return false
		}
		w.now = w.nearest
	}
	if w.nearest-w.now >= wavesWide {
		return true
	}
	far := w.far
	w.far, w.nearest = nil, math.MaxInt
	for _, v := range far {
		if w.left[v] == w.d[v] {
			continue // reached on a shorter way since, and gone on
		}
		w.reach(v, w.d[v])
	}
	return true
}
