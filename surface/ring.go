package surface

import (
	"selvage/mesh"
	"selvage/r3"
)

// rings gathers the vertices around a vertex, ring by ring, without visiting one
// twice. It belongs to one goroutine.
type rings struct {
	topo  *mesh.Topology
	links *links  // nil: asked of topo vertex by vertex
	seen  []int32 // the last query that saw the vertex
	now   int32
	list  []mesh.VertexID
	ring  []mesh.VertexID
}

// newRings returns rings over a mesh of so many vertices. links may be nil.
func newRings(topo *mesh.Topology, vertices int, l *links) *rings {
	return &rings{topo: topo, links: l, seen: make([]int32, vertices)}
}

// at returns the vertices that an edge joins to v. The result may be overwritten by the
// next call.
func (r *rings) at(v mesh.VertexID) []mesh.VertexID {
	if r.links != nil {
		return r.links.at(v)
	}
	r.ring = oneRing(r.topo, r.ring, v)
	return r.ring
}

// within returns v and the vertices that are connected to it through vertices no
// farther than radius, in order of ring; no more than limit, and the ring that reached
// it. The result is overwritten by the next call.
func (r *rings) within(pos []r3.Vec, v mesh.VertexID, radius float64, limit int) []mesh.VertexID {
	r.now++
	list := append(r.list[:0], v)
	seen, now := r.seen, r.now
	seen[v] = now
	o, r2 := pos[v], radius*radius
	if l := r.links; l != nil { // the same without a call for each vertex
		for i := 0; i < len(list) && len(list) < limit; i++ {
			for _, w := range l.to[l.first[list[i]]:l.first[list[i]+1]] {
				if seen[w] == now {
					continue
				}
				seen[w] = now
				if pos[w].Dist2(o) <= r2 {
					list = append(list, w)
				}
			}
		}
		r.list = list
		return list
	}
	for i := 0; i < len(list) && len(list) < limit; i++ {
		for _, w := range r.at(list[i]) {
			if seen[w] == now {
				continue
			}
			seen[w] = now // also where it is too far: it will not come nearer
			if pos[w].Dist2(o) <= r2 {
				list = append(list, w)
			}
		}
	}
	r.list = list
	return list
}

// edge returns the mean length of the edges at v; 0 for a vertex without any.
func (r *rings) edge(pos []r3.Vec, v mesh.VertexID) float64 {
	ring := r.at(v)
	sum := 0.0
	for _, w := range ring {
		sum += pos[w].Dist(pos[v])
	}
	return sum / float64(max(len(ring), 1))
}
