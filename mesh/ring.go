package mesh

import (
	"iter"
	"slices"
	"sort"
)

// fanFrom yields the half-edges that leave the vertex of h, counter-clockwise
// from h, until the fan ends or closes.
func (t *Topology) fanFrom(h HalfedgeID) iter.Seq[HalfedgeID] {
	return func(yield func(HalfedgeID) bool) {
		for o := h; ; {
			if !yield(o) {
				return
			}
			if o = t.Pair[Prev(o)]; o == None || o == h {
				return
			}
		}
	}
}

// fansAt yields the first half-edge of every fan at v.
func (t *Topology) fansAt(v VertexID) iter.Seq[HalfedgeID] {
	return func(yield func(HalfedgeID) bool) {
		if t.Out[v] == None || !yield(t.Out[v]) || len(t.fans) == 0 {
			return
		}
		i := sort.Search(len(t.fans), func(i int) bool { return t.fans[i].vertex >= v })
		for ; i < len(t.fans) && t.fans[i].vertex == v; i++ {
			if !yield(t.fans[i].out) {
				return
			}
		}
	}
}

// OneRing returns the vertices that an edge joins to v, in dst[:0].
//
// They come counter-clockwise seen from outside: all around an inner vertex, and
// from one open edge to the other at the boundary. At a bow-tie the fans follow
// one another; no vertex is listed twice. Cost: O(valence).
func (t *Topology) OneRing(dst []VertexID, v VertexID) []VertexID {
	dst = dst[:0]
	m := t.Mesh
	first := true
	for start := range t.fansAt(v) {
		last := start
		for h := range t.fanFrom(start) {
			dst = appendRing(dst, m.To(h), first)
			last = h
		}
		if in := Prev(last); t.Pair[in] == None {
			dst = appendRing(dst, m.From(in), first)
		}
		first = false
	}
	return dst
}

// appendRing appends w, after the first fan only if it is not there yet: fans
// that an odd edge separates share that edge's other end.
func appendRing(dst []VertexID, w VertexID, sure bool) []VertexID {
	if !sure && slices.Contains(dst, w) {
		return dst
	}
	return append(dst, w)
}

// Star returns the faces at v in dst[:0], in the order of [Topology.OneRing].
// Cost: O(valence).
func (t *Topology) Star(dst []FaceID, v VertexID) []FaceID {
	dst = dst[:0]
	for start := range t.fansAt(v) {
		for h := range t.fanFrom(start) {
			dst = append(dst, h.Face())
		}
	}
	return dst
}

// OnBoundary reports whether the surface ends at v, or one of its edges is odd.
// Cost: O(1).
func (t *Topology) OnBoundary(v VertexID) bool {
	return t.Out[v] != None && t.Pair[t.Out[v]] == None
}
