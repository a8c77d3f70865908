package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/r3"
)

// Points whose hashes agree in the bits that choose a slot must stay apart.
// one returns the number of a point.
func (w *welder) one(p r3.Vec) VertexID {
	var v [1]VertexID
	w.ids(v[:], []r3.Vec{p})
	return v[0]
}

func TestWelderTellsCollisionsApart(t *testing.T) {
	const points = 400_000 // the square of it is some forty times 2³²: collisions are sure
	home := func(p r3.Vec) uint32 { return uint32(hash(p) >> 32) }
	for axis, at := range map[string]func(float64) r3.Vec{
		"x": func(c float64) r3.Vec { return r3.V(c, 1, 2) },
		"y": func(c float64) r3.Vec { return r3.V(1, c, 2) },
		"z": func(c float64) r3.Vec { return r3.V(1, 2, c) },
	} {
		byHash := map[uint32]r3.Vec{}
		pairs := 0
		for i := range points {
			p := at(1 + float64(i)/points)
			q, ok := byHash[home(p)]
			if !ok {
				byHash[home(p)] = p
				continue
			}
			pairs++
			w := newWelder(4)
			if w.one(p) != 0 || w.one(q) != 1 || w.one(p) != 0 || w.one(q) != 1 {
				t.Fatalf("%v and %v were joined", p, q)
			}
		}
		if pairs == 0 {
			t.Errorf("no two of %d points along %s collide: the test shows nothing", points, axis)
		}
	}
}

// mostProbes is how many slots a point may look at on average. Linear probing at
// a load of 3/4 needs 2.5 with a perfect hash (Knuth, 6.4).
const mostProbes = 3.5

// Laws of the table: its size does not change ids, and the hash spreads what scans
// are made of: grids of round numbers, float32 values, tiny and huge coordinates.
func TestWelderSpreads(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260504, 0))
	for name, at := range map[string]func(i int) r3.Vec{
		"grid":    func(i int) r3.Vec { return r3.V(float64(i%40), float64(i/40%40), float64(i/1600)) },
		"hundred": func(i int) r3.Vec { return r3.V(float64(i%40)/100, float64(i/40%40)/100, float64(i/1600)/100) },
		"line":    func(i int) r3.Vec { return r3.V(0, 0, float64(i)) },
		"float32": func(int) r3.Vec { return r3.V(float64(rng.Float32()), float64(rng.Float32()), 0) },
		"powers":  func(i int) r3.Vec { return r3.V(math.Ldexp(1, i%1000), math.Ldexp(1, i/1000), 0) },
	} {
		const points = 64_000
		small, large := newWelder(0), newWelder(points)
		for i := range points {
			p := at(i)
			if small.one(p) != large.one(p) {
				t.Fatalf("%s: the id of point %d depends on the size of the table", name, i)
			}
		}
		probes := 0
		mask := uint64(len(small.slots) - 1)
		for i, s := range small.slots {
			if s != 0 {
				probes += int((uint64(i)-hash(small.pos[s-1])>>small.shift)&mask) + 1
			}
		}
		if mean := float64(probes) / float64(len(small.pos)); mean > mostProbes {
			t.Errorf("%s: %.2f probes a point, want %g at most", name, mean, mostProbes)
		}
	}
}
