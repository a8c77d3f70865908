package mesh

import (
	"cmp"
	"slices"
)

// Loops returns the boundary loops: closed chains of half-edges without a pair,
// each leading to the vertex that the next one leaves.
//
// The surface lies on the left of the half-edges seen from outside, so a hole
// is walked clockwise and the outer rim counter-clockwise. No loop passes a
// vertex twice: where two holes touch in one vertex each is a loop of its own.
// A loop starts with its lowest half-edge, and loops are in the order of these.
// Odd edges are bounds too; a loop that holds one (see [Topology.Open]) need not
// be the rim of a hole.
//
// Cost: O(half-edges). Deterministic.
func (t *Topology) Loops() [][]HalfedgeID {
	var loops [][]HalfedgeID
	seen := make([]bool, len(t.Pair))
	at := make([]int32, len(t.Mesh.Pos)) // one plus the place of a vertex in the open chain
	for h := range HalfedgeID(len(t.Pair)) {
		if t.Pair[h] != None || seen[h] {
			continue
		}
		loops = t.walk(loops, h, seen, at)
	}
	slices.SortFunc(loops, func(a, b []HalfedgeID) int { return cmp.Compare(a[0], b[0]) })
	return loops
}

// walk follows the boundary from h until it closes and appends its loops.
// Whenever the chain comes back to one of its vertices, the part since then is
// cut off as a loop.
func (t *Topology) walk(loops [][]HalfedgeID, h HalfedgeID, seen []bool, at []int32) [][]HalfedgeID {
	m := t.Mesh
	var chain []HalfedgeID
	for ; !seen[h]; h = t.alongBoundary(h) {
		seen[h] = true
		at[m.From(h)] = int32(len(chain)) + 1
		chain = append(chain, h)
		k := at[m.To(h)]
		if k == 0 {
			continue
		}
		loop := slices.Clone(chain[k-1:])
		for _, e := range loop {
			at[m.From(e)] = 0
		}
		chain = chain[:k-1]
		loops = append(loops, lowestStart(loop))
	}
	return loops
}

// alongBoundary returns the half-edge without a pair that follows h: around the
// fan of faces at the end of h. On such half-edges this is one-to-one, and it
// ends because a fan with one end has two.
func (t *Topology) alongBoundary(h HalfedgeID) HalfedgeID {
	h = Next(h)
	for t.Pair[h] != None {
		h = Next(t.Pair[h])
	}
	return h
}

// lowestStart turns a loop in place so that it starts with its lowest half-edge.
func lowestStart(loop []HalfedgeID) []HalfedgeID {
	k := slices.Index(loop, slices.Min(loop))
	slices.Reverse(loop[:k])
	slices.Reverse(loop[k:])
	slices.Reverse(loop)
	return loop
}
