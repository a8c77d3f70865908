package mesh

import (
	"cmp"
	"slices"
)

// Components labels the faces by the connected piece they belong to and returns
// the number of pieces. Two faces are connected if they share an edge, be it a
// proper pair or an odd one; meeting in a vertex alone does not connect. Pieces
// are numbered in the order of their lowest face.
//
// Cost: O(faces), almost. Deterministic.
func (t *Topology) Components() (labels []int32, n int) {
	u := newUnion(len(t.Mesh.Tri))
	for f := range t.Mesh.Tri {
		for h := 3 * f; h < 3*f+3; h++ {
			if p := t.Pair[h]; p > HalfedgeID(h) {
				u.join(int32(f), int32(p/3))
			}
		}
	}
	t.joinOdd(u)
	labels = u.parent // each root comes before its members: number in place
	for f, p := range labels {
		if p == int32(f) {
			labels[f] = int32(n)
			n++
		} else {
			labels[f] = labels[p]
		}
	}
	return labels, n
}

// joinOdd connects the faces that meet at odd edges.
func (t *Topology) joinOdd(u *union) {
	type end struct {
		low, high VertexID
		h         HalfedgeID
	}
	ends := make([]end, len(t.Odd))
	for i, h := range t.Odd {
		a, b := t.Mesh.From(h), t.Mesh.To(h)
		ends[i] = end{min(a, b), max(a, b), h}
	}
	slices.SortFunc(ends, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.high, b.high), cmp.Compare(a.h, b.h))
	})
	for i := 1; i < len(ends); i++ {
		if a, b := ends[i-1], ends[i]; a.low == b.low && a.high == b.high {
			u.join(int32(a.h/3), int32(b.h/3))
		}
	}
}

// union is a forest of sets. The root of a set is its lowest member, and a
// parent is never above its child.
type union struct{ parent []int32 }

// newUnion returns n sets of one member each.
func newUnion(n int) *union {
	u := &union{make([]int32, n)}
	for i := range u.parent {
		u.parent[i] = int32(i)
	}
	return u
}

// root returns the lowest member of i's set, halving the path on the way.
func (u *union) root(i int32) int32 {
	for u.parent[i] != i {
		u.parent[i] = u.parent[u.parent[i]]
		i = u.parent[i]
	}
	return i
}

// join makes one set of the sets of i and j.
func (u *union) join(i, j int32) {
	if u.parent[i] == u.parent[j] {
		return // as nearly always, once a piece has grown
	}
	i, j = u.root(i), u.root(j)
	u.parent[max(i, j)] = min(i, j)
}
