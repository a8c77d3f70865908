package mesh

import (
	"cmp"
	"slices"
)

// upward is a half-edge that leads from its lower vertex to the higher one.
type upward struct {
	to VertexID
	h  HalfedgeID
}

// leadsUp returns 1 if a half-edge from a to b is upward, else 0.
func leadsUp(a, b VertexID) int32 { return int32(uint32(a-b) >> 31) }

// pairUp finds the pairs.
//
// An edge of a sound surface has one half-edge that leads up, to the higher of its
// vertices, and one that leads down. The first kind is sorted by its lower vertex (a
// counting sort), and each of the second looks for its partner among the three or so
// that start at the vertex it leads to.
//
// WHY: sorting half of the half-edges, and reading nothing but the sorted list for the
// others, is a third of the work of sorting and comparing them all. Which way one leads is
// as good as random, and a branch on it is mispredicted every other time, at five times
// the cost of what it guards; so all are written, and the place moves on by 0 or 1. What
// is not sound shows: two partners are found, or one that has a pair already, or none
// though the edge has other half-edges. Then the whole group of the lower vertex goes the
// slow way ([Topology.pairGroup]), which is the oracle of the tests too.
func (t *Topology) pairUp() {
	for h := range t.Pair {
		t.Pair[h] = None
	}
	p := pairing{t: t}
	p.sortUp()
	p.pairDown()
	p.finish()
}

// pairing is the search for pairs under way.
type pairing struct {
	t     *Topology
	start []int32 // of each vertex's half-edges in ups
	ups   []upward
	odd   []VertexID // lower vertices of edges that are not sound, some often
}

// sortUp fills ups, in rising order within a group. Each group ends with a place to spare,
// for what does not belong to it.
func (p *pairing) sortUp() {
	m := p.t.Mesh
	p.start = make([]int32, len(m.Pos)+1)
	at := p.start[1:] // where the next half-edge of a vertex goes; in the end, where its group ends
	for _, c := range m.Tri {
		at[c[0]] += leadsUp(c[0], c[1])
		at[c[1]] += leadsUp(c[1], c[2])
		at[c[2]] += leadsUp(c[2], c[0])
	}
	sum := int32(0)
	for v, n := range at {
		at[v] = sum
		sum += n + 1
	}
	p.ups = make([]upward, sum)
	for f, c := range m.Tri {
		h := HalfedgeID(3 * f)
		p.ups[at[c[0]]] = upward{c[1], h}
		at[c[0]] += leadsUp(c[0], c[1])
		p.ups[at[c[1]]] = upward{c[2], h + 1}
		at[c[1]] += leadsUp(c[1], c[2])
		p.ups[at[c[2]]] = upward{c[0], h + 2}
		at[c[2]] += leadsUp(c[2], c[0])
	}
}

// group returns the upward half-edges that leave v.
func (p *pairing) group(v VertexID) []upward {
	end := p.start[v+1]
	from := int32(0)
	if v > 0 {
		from = p.start[v] + 1
	}
	return p.ups[from:end]
}

// downBatch is how many half-edges are sifted before those that lead down are paired.
const downBatch = 3 * 512

// pairDown looks for the partners of the half-edges that lead down.
func (p *pairing) pairDown() {
	type edge struct {
		h         HalfedgeID
		high, low VertexID
	}
	var downs [downBatch + 1]edge
	n := int32(0)
	for f, c := range p.t.Mesh.Tri {
		h := HalfedgeID(3 * f)
		downs[n] = edge{h, c[0], c[1]}
		n += leadsUp(c[1], c[0])
		downs[n] = edge{h + 1, c[1], c[2]}
		n += leadsUp(c[2], c[1])
		downs[n] = edge{h + 2, c[2], c[0]}
		n += leadsUp(c[0], c[2])
		if n > downBatch-3 || f == len(p.t.Mesh.Tri)-1 {
			for _, d := range downs[:n] {
				p.down(d.h, d.high, d.low)
			}
			n = 0
		}
	}
}

// down pairs h, which leads down from high to low.
func (p *pairing) down(h HalfedgeID, high, low VertexID) {
	group := p.group(low)
	if len(group) > manyHalfedges {
		p.odd = append(p.odd, low) // a hub: looking through its group for every edge would be quadratic
		return
	}
	var found, partner int32
	for _, u := range group { // without a branch on which it is, as in leadsUp
		same := int32((uint32(u.to^high) - 1) >> 31)
		found += same
		partner += int32(u.h) & -same
	}
	switch t := p.t; {
	case found == 0:
	case found == 1 && t.Pair[partner] == None:
		t.Pair[partner], t.Pair[h] = h, HalfedgeID(partner)
	default:
		p.odd = append(p.odd, low)
	}
}

// finish finds what is not sound among the half-edges left without a pair, sends the
// groups of all that is not the slow way, and counts.
func (p *pairing) finish() {
	t := p.t
	type side struct {
		low, high VertexID
	}
	var bare []side
	for h, o := range t.Pair {
		if o == None {
			a, b := t.Mesh.From(HalfedgeID(h)), t.Mesh.To(HalfedgeID(h))
			bare = append(bare, side{min(a, b), max(a, b)})
		}
	}
	slices.SortFunc(bare, func(a, b side) int {
		return cmp.Or(cmp.Compare(a.low, b.low), cmp.Compare(a.high, b.high))
	})
	for i, e := range bare {
		if i > 0 && bare[i-1] == e {
			p.odd = append(p.odd, e.low)
		}
	}
	t.Boundary = len(bare)
	if len(p.odd) > 0 {
		p.slowly()
	}
}

// slowly pairs the groups of the odd vertices again.
func (p *pairing) slowly() {
	t, m := p.t, p.t.Mesh
	slices.Sort(p.odd)
	p.odd = slices.Compact(p.odd)
	isOdd := make([]bool, len(m.Pos))
	for _, v := range p.odd {
		isOdd[v] = true
	}
	var again []upward
	for h := range HalfedgeID(len(t.Pair)) {
		low := min(m.From(h), m.To(h))
		if !isOdd[low] {
			continue
		}
		if t.Pair[h] == None {
			t.Boundary--
		}
		t.Pair[h] = None
		again = append(again, upward{low, h})
	}
	slices.SortStableFunc(again, func(a, b upward) int { return cmp.Compare(a.to, b.to) })
	group := make([]HalfedgeID, 0, len(again))
	for i, u := range again {
		group = append(group, u.h)
		if i+1 == len(again) || again[i+1].to != u.to {
			t.pairGroup(group)
			group = group[:0]
		}
	}
	slices.Sort(t.Odd)
}

// manyHalfedges is the size of a group from which sorting beats looking through
// it for every edge. A scan has about six half-edges a group; the hub of a
// polygon cut into a fan can have millions.
const manyHalfedges = 64

// pairGroup matches the half-edges that share their lower vertex. It reorders g.
func (t *Topology) pairGroup(g []HalfedgeID) {
	if len(g) > manyHalfedges {
		slices.SortFunc(g, func(a, b HalfedgeID) int {
			return cmp.Or(cmp.Compare(t.upper(a), t.upper(b)), cmp.Compare(a, b))
		})
	}
	for len(g) > 0 {
		// Bring the half-edges of the first one's edge to the front. In a sorted
		// group they are there; no result depends on the order of the rest.
		top, n := t.upper(g[0]), 1
		for i := 1; i < len(g) && (len(g) <= manyHalfedges || i == n); i++ {
			if t.upper(g[i]) == top {
				g[i], g[n] = g[n], g[i]
				n++
			}
		}
		t.pairEdge(g[:n])
		g = g[n:]
	}
}

// upper returns the higher vertex of an edge.
func (t *Topology) upper(h HalfedgeID) VertexID { return max(t.Mesh.From(h), t.Mesh.To(h)) }

// pairEdge records the half-edges of one edge.
func (t *Topology) pairEdge(e []HalfedgeID) {
	switch {
	case len(e) == 1:
		t.Boundary++
	case len(e) == 2 && t.Mesh.From(e[0]) == t.Mesh.To(e[1]):
		t.Pair[e[0]], t.Pair[e[1]] = e[1], e[0]
	case len(e) == 2:
		t.Inconsistent++
		t.Odd = append(t.Odd, e...)
	default:
		t.NonManifold++
		t.Odd = append(t.Odd, e...)
	}
}
