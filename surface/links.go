package surface

import (
	"runtime"
	"sync"

	"selvage/mesh"
)

// links lists for every vertex of a mesh the vertices that an edge joins to it, in the
// order of [mesh.Topology.OneRing].
//
// A walk over three rings asks some thirty vertices for their neighbours, and each
// answer from the half-edges is a chain of a dozen loads of which every one waits for
// the one before. Where every vertex is the middle of such a walk, writing the answers
// down once and reading them thirty times is three times as fast.
type links struct {
	first []int32 // of each vertex in to; one more at the end
	to    []mesh.VertexID
}

func (l *links) at(v mesh.VertexID) []mesh.VertexID { return l.to[l.first[v]:l.first[v+1]] }

// walkAsks is about how many vertices one walk asks for their neighbours: those of a patch
// of 2.8 edges.
const walkAsks = 28

// linksFor returns the links of a mesh of n vertices where so many walks pay for them,
// else nil.
func linksFor(topo *mesh.Topology, n, walks int) *links {
	if walks*walkAsks < 2*n {
		return nil
	}
	return newLinks(topo, n)
}

// newLinks writes the links down, each core those of its share of the vertices.
func newLinks(topo *mesh.Topology, n int) *links {
	l := &links{first: make([]int32, n+1)}
	workers := min(runtime.GOMAXPROCS(0), max(1, n/4096))
	parts := make([][]mesh.VertexID, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			from, end := w*n/workers, (w+1)*n/workers
			to := make([]mesh.VertexID, 0, 6*(end-from)+(end-from)/16+16) // a scan has six links a vertex
			var ring []mesh.VertexID
			for v := from; v < end; v++ {
				ring = oneRing(topo, ring, mesh.VertexID(v))
				to = append(to, ring...)
				l.first[v+1] = int32(len(ring))
			}
			parts[w] = to
		})
	}
	wg.Wait()
	for v := range n {
		l.first[v+1] += l.first[v]
	}
	if workers == 1 {
		l.to = parts[0]
		return l
	}
	l.to = make([]mesh.VertexID, 0, l.first[n])
	for _, p := range parts {
		l.to = append(l.to, p...)
	}
	return l
}

// oneRing is [mesh.Topology.OneRing], written out for the fan that nearly every vertex
// has only one of.
func oneRing(topo *mesh.Topology, dst []mesh.VertexID, v mesh.VertexID) []mesh.VertexID {
	if topo.BowTies > 0 {
		return topo.OneRing(dst, v)
	}
	dst = dst[:0]
	start := topo.Out[v]
	if start == mesh.None {
		return dst
	}
	tri, pair := topo.Mesh.Tri, topo.Pair
	for h := start; ; {
		t := &tri[h/3]
		i := h % 3
		next, prev := i+1, i-1 // corners: h leads from i to next, and comes from prev
		if i == 2 {
			next = 0
		}
		if i == 0 {
			prev = 2
		}
		dst = append(dst, t[next])
		o := pair[h-i+prev]
		if o == mesh.None {
			return append(dst, t[prev])
		}
		if o == start {
			return dst
		}
		h = o
	}
}
