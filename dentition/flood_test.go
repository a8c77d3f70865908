package dentition

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// slowFlood relaxes every edge for every label until nothing changes, and returns the
// cheapest way to each vertex, its label, and the cheapest way of another label.
func slowFlood(f *flood, labels int) (first, second []float64, label []int16) {
	n := len(f.first) - 1
	all := make([][]float64, labels)
	for l := range all {
		d := make([]float64, n)
		for v := range d {
			d[v] = math.Inf(1)
		}
		for _, s := range f.seeds {
			if int(s.label) == l {
				d[s.v] = 0
			}
		}
		for changed := true; changed; {
			changed = false
			for v := range n {
				for _, to := range f.around(mesh.VertexID(v)) {
					if x := d[v] + f.cost(mesh.VertexID(v), to); x < d[to] {
						d[to], changed = x, true
					}
				}
			}
		}
		all[l] = d
	}
	first, second, label = make([]float64, n), make([]float64, n), make([]int16, n)
	for v := range n {
		first[v], second[v], label[v] = math.Inf(1), math.Inf(1), -1
		for l := range all {
			switch d := all[l][v]; {
			case d < first[v]:
				first[v], second[v], label[v] = d, first[v], int16(l)
			case d < second[v]:
				second[v] = d
			}
		}
	}
	return first, second, label
}

// TestFloodAgainstSlow holds the pruned queue against relaxing everything, on a sheet
// with bumps, holes in the seeds, ties (an even part) and a piece that no seed reaches.
func TestFloodAgainstSlow(t *testing.T) {
	const side, labels = 24, 4
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 1))
		m := &mesh.Mesh{}
		for i := range side * side {
			p := r3.V(float64(i%side), float64(i/side), 0)
			if i%side > side/2 { // the other half is even, so that ways tie
				p.Z = rng.Float64()
			}
			m.Pos = append(m.Pos, p)
		}
		for i := range side * side {
			if i%side < side-1 && i/side < side-1 && i%side != 3 { // column 3 apart
				a, b := mesh.VertexID(i), mesh.VertexID(i+side)
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, b}, [3]mesh.VertexID{a + 1, b + 1, b})
			}
		}
		f := newFlood(m, nil)
		for v := range m.Pos {
			if v%side > 3 && rng.IntN(12) == 0 {
				f.start(mesh.VertexID(v), int16(rng.IntN(labels)))
			}
		}
		first, second, label := slowFlood(f, labels)
		f.run()
		for v := range m.Pos {
			if f.dist[0][v] != first[v] || f.dist[1][v] != second[v] || f.label[0][v] != label[v] {
				t.Fatalf("seed %d, vertex %d: %v of label %d, then %v; relaxing everything gives %v of %d, then %v",
					seed, v, f.dist[0][v], f.label[0][v], f.dist[1][v], first[v], label[v], second[v])
			}
		}
		if second[0] != math.Inf(1) {
			t.Fatal("the piece without seeds was reached: the test tests less than it says")
		}
	}
}

// TestFloodLetsGoWhatIsFarBehind holds fronts with a bound against fronts without: the
// nearest is the same everywhere, the next wherever it is within the bound, and nowhere
// else is one nearer than that.
func TestFloodLetsGoWhatIsFarBehind(t *testing.T) {
	const side = 40
	rng := rand.New(rand.NewPCG(7, 1))
	m := &mesh.Mesh{}
	for i := range side * side {
		m.Pos = append(m.Pos, r3.V(float64(i%side), float64(i/side), rng.Float64()))
		if i%side < side-1 && i/side < side-1 {
			a, b := mesh.VertexID(i), mesh.VertexID(i+side)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, b}, [3]mesh.VertexID{a + 1, b + 1, b})
		}
	}
	for _, enough := range []float64{0, 0.5, 3} {
		whole, bounded := newFlood(m, nil), newFlood(m, nil)
		bounded.enough = enough
		for v := range m.Pos {
			if rng.IntN(30) == 0 {
				l := int16(rng.IntN(3))
				whole.start(mesh.VertexID(v), l)
				bounded.start(mesh.VertexID(v), l)
			}
		}
		whole.run()
		bounded.run()
		let := 0
		for v := range m.Pos {
			if whole.label[0][v] != bounded.label[0][v] || whole.dist[0][v] != bounded.dist[0][v] {
				t.Fatalf("bound %v, vertex %d: another front is nearest", enough, v)
			}
			behind := whole.dist[1][v] - whole.dist[0][v]
			if got := bounded.dist[1][v] - bounded.dist[0][v]; got != behind && (behind <= enough || got <= enough) {
				t.Fatalf("bound %v, vertex %d: the next front is %v behind, want %v", enough, v, got, behind)
			} else if got != behind {
				let++
			}
		}
		if let == 0 {
			t.Errorf("bound %v: no front was let go", enough)
		}
	}
}

// TestFloodAllocatesItsQueueAlone: what settles a vertex leaves no garbage.
func TestFloodAllocatesItsQueueAlone(t *testing.T) {
	const side = 120
	m := &mesh.Mesh{}
	for i := range side * side {
		m.Pos = append(m.Pos, r3.V(float64(i%side), float64(i/side), math.Sin(float64(i))))
		if i%side < side-1 && i/side < side-1 {
			a, b := mesh.VertexID(i), mesh.VertexID(i+side)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, b}, [3]mesh.VertexID{a + 1, b + 1, b})
		}
	}
	f := newFlood(m, nil)
	n := testing.AllocsPerRun(1, func() {
		g := *f
		for k := range g.label {
			g.label[k], g.dist[k] = append([]int16(nil), f.label[k]...), append([]float64(nil), f.dist[k]...)
		}
		g.start(0, 0)
		g.start(side*side-1, 1)
		g.run()
	})
	if n > 60 {
		t.Errorf("%.0f allocations for %d vertices", n, side*side)
	}
}
