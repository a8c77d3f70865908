package surface

import (
	"selvage/mesh"
	"selvage/r3"
)

// rings gathers the vertices around a vertex, ring by ring, without visiting one
// twice. It belongs to one goroutine.
type rings struct {
	topo *mesh.Topology
	seen []int32 // the last query that saw the vertex
	now  int32
	list []mesh.VertexID
	ring []mesh.VertexID
}

func newRings(topo *mesh.Topology, vertices int) *rings {
	return &rings{topo: topo, seen: make([]int32, vertices)}
}

// within returns v and the vertices that are connected to it through vertices no
// farther than radius, in order of ring; no more than limit, and the ring that reached
// it. The result is overwritten by the next call.
func (r *rings) within(pos []r3.Vec, v mesh.VertexID, radius float64, limit int) []mesh.VertexID {
	r.now++
	r.list = append(r.list[:0], v)
	r.seen[v] = r.now
	r2 := radius * radius
	for i := 0; i < len(r.list) && len(r.list) < limit; i++ {
		r.ring = r.topo.OneRing(r.ring, r.list[i])
		for _, w := range r.ring {
			if r.seen[w] != r.now && pos[w].Dist2(pos[v]) <= r2 {
				r.seen[w] = r.now
				r.list = append(r.list, w)
			}
		}
	}
	return r.list
}

// edge returns the mean length of the edges at v; 0 for a vertex without any.
func (r *rings) edge(pos []r3.Vec, v mesh.VertexID) float64 {
	r.ring = r.topo.OneRing(r.ring, v)
	sum := 0.0
	for _, w := range r.ring {
		sum += pos[w].Dist(pos[v])
	}
	return sum / float64(max(len(r.ring), 1))
}
