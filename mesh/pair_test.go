package mesh

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"selvage/r3"
)

// slowPairs pairs all half-edges by comparing those of each lower vertex, without the
// search for partners: the oracle.
func slowPairs(m *Mesh) *Topology {
	t := &Topology{Mesh: m, Pair: make([]HalfedgeID, 3*len(m.Tri))}
	groups := make([][]HalfedgeID, len(m.Pos))
	for h := range t.Pair {
		t.Pair[h] = None
		low := min(m.From(HalfedgeID(h)), m.To(HalfedgeID(h)))
		groups[low] = append(groups[low], HalfedgeID(h))
	}
	p := pairing{t: t}
	for v, g := range groups {
		if len(g) > 0 {
			p.odd = append(p.odd, VertexID(v))
		}
	}
	t.Boundary = len(t.Pair) // slowly takes out what has no pair yet
	p.slowly()
	return t
}

// Oracle: the slow way for every edge, on faces thrown together at random: few vertices
// give edges of every kind, many give sound ones.
func TestPairsAgainstTheSlowWay(t *testing.T) {
	const seed = 20260504
	r := rand.New(rand.NewPCG(seed, 3))
	kinds := [3]int{}
	for trial := range 3000 {
		vertices := 3 + r.IntN(40)
		m := &Mesh{Pos: make([]r3.Vec, vertices)}
		for range r.IntN(60) {
			a, b, c := r.IntN(vertices), r.IntN(vertices), r.IntN(vertices)
			if trial%3 == 0 {
				a = 0 // a hub with groups of all sizes
			}
			if a != b && b != c && c != a {
				m.Tri = append(m.Tri, [3]VertexID{VertexID(a), VertexID(b), VertexID(c)})
			}
		}
		if trial%2 == 0 {
			m.Tri = append(m.Tri, fanAbout(vertices)...)
		}
		got, want := &Topology{Mesh: m, Pair: make([]HalfedgeID, 3*len(m.Tri))}, slowPairs(m)
		got.pairUp()
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("seed %d trial %d, faces %v:\n got %+v\nwant %+v", seed, trial, m.Tri, got, want)
		}
		kinds[0], kinds[1], kinds[2] = kinds[0]+got.Boundary, kinds[1]+got.NonManifold, kinds[2]+got.Inconsistent
	}
	if min(kinds[0], kinds[1], kinds[2]) < 1000 {
		t.Errorf("open, many-faced and inconsistent edges: %v: too few to test anything", kinds)
	}
}

// fanAbout returns faces around vertex 0 through all others.
func fanAbout(vertices int) [][3]VertexID {
	var tri [][3]VertexID
	for i := 1; i+1 < vertices; i++ {
		tri = append(tri, [3]VertexID{0, VertexID(i), VertexID(i + 1)})
	}
	return tri
}

// mostAllocations of a topology of sound surface: its parts, and what finds them.
const mostAllocations = 12

func TestTopologyAllocatesLittle(t *testing.T) {
	m := &Mesh{Pos: make([]r3.Vec, 500), Tri: fanAbout(50)}
	if n := testing.AllocsPerRun(20, func() { NewTopology(m) }); n > mostAllocations {
		t.Errorf("a topology allocates %g times, want %d at most", n, mostAllocations)
	}
}
