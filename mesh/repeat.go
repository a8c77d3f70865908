package mesh

import (
	"cmp"
	"slices"
)

// entry is a triangle in the group of its lowest corner: the two others, lower
// one first, and whether that is against the winding.
type entry struct {
	low, high VertexID
	face      FaceID
	turned    bool
}

// manyEntries is the size of a group from which sorting beats comparing every two. A
// scan has about two triangles a group; a polygon of a million corners, cut into a
// fan, has them all in one.
const manyEntries = 32

// longestChain is how many triangles with the same lowest corner are looked through for a
// repetition before the search is given up and dropRepeated sorts them.
const longestChain = 16

// anyRepeated reports whether a triangle has the corners of an earlier one, or may have.
//
// WHY: a scan repeats none, and to find that out needs no sorting. The triangles with the
// same lowest corner are chained, the latest first, and each is compared with the one or
// two before it, which are near in memory too.
func (m *Mesh) anyRepeated() bool {
	last := make([]int32, len(m.Pos)) // one plus the latest triangle with this lowest corner
	before := make([]int32, len(m.Tri))
	for f, t := range m.Tri {
		low, sum := min(t[0], t[1], t[2]), t[0]^t[1]^t[2]
		k := last[low]
		last[low], before[f] = int32(f)+1, k
		for n := 0; k > 0; n++ {
			// The same lowest corner and the same exclusive or: a repetition, or near enough.
			if e := m.Tri[k-1]; e[0]^e[1]^e[2] == sum && max(e[0], e[1], e[2]) == max(t[0], t[1], t[2]) || n == longestChain {
				return true
			}
			k = before[k-1]
		}
	}
	return false
}

// dropRepeated takes out triangles whose three corners an earlier triangle has
// too. The triangles are grouped by their lowest corner (a counting sort, which
// keeps the order of faces), so only the few that share it are compared.
func (m *Mesh) dropRepeated(rep *Repair) {
	start := make([]int32, len(m.Pos)+1)
	for _, t := range m.Tri {
		start[min(t[0], t[1], t[2])]++
	}
	// After this sum start[v] is the end of group v; filling from the back
	// brings it to the group's start and leaves rising order within.
	for v := 1; v < len(start); v++ {
		start[v] += start[v-1]
	}
	entries := make([]entry, len(m.Tri))
	for f := len(m.Tri) - 1; f >= 0; f-- {
		v, a, b := lowestFirst(m.Tri[f])
		start[v]--
		entries[start[v]] = entry{min(a, b), max(a, b), FaceID(f), a > b}
	}
	before := rep.Duplicate + rep.Opposed
	for v := range m.Pos {
		m.markRepeated(entries[start[v]:start[v+1]], rep)
	}
	if rep.Duplicate+rep.Opposed == before {
		return
	}
	m.Tri = slices.DeleteFunc(m.Tri, func(t [3]VertexID) bool { return t == repeated })
}

// repeated stands in place of a triangle that is to be dropped.
var repeated = [3]VertexID{None, None, None}

// markRepeated counts and marks the triangles of one group that repeat an
// earlier one of it.
func (m *Mesh) markRepeated(group []entry, rep *Repair) {
	if len(group) > manyEntries {
		m.markSorted(group, rep)
		return
	}
	for i, e := range group {
		for _, first := range group[:i] {
			if e.repeats(first) {
				m.drop(e, first, rep)
				break
			}
		}
	}
}

// markSorted is markRepeated for a large group, which it sorts.
func (m *Mesh) markSorted(group []entry, rep *Repair) {
	slices.SortFunc(group, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.high, b.high), cmp.Compare(a.face, b.face))
	})
	first := group[0]
	for _, e := range group[1:] {
		if e.repeats(first) {
			m.drop(e, first, rep)
		} else {
			first = e
		}
	}
}

// repeats reports whether two triangles of one group have the same corners.
func (e entry) repeats(first entry) bool { return e.low == first.low && e.high == first.high }

// drop marks the triangle of e, which repeats that of first.
func (m *Mesh) drop(e, first entry, rep *Repair) {
	if e.turned == first.turned {
		rep.Duplicate++
	} else {
		rep.Opposed++
	}
	m.Tri[e.face] = repeated
}

// lowestFirst turns a triangle, keeping its winding, so that its lowest corner
// comes first.
func lowestFirst(t [3]VertexID) (low, next, last VertexID) {
	switch {
	case t[0] < t[1] && t[0] < t[2]:
		return t[0], t[1], t[2]
	case t[1] < t[2]:
		return t[1], t[2], t[0]
	default:
		return t[2], t[0], t[1]
	}
}
