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
