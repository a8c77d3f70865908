package bvh

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

func newRand(tb testing.TB) *rand.Rand {
	const seed = 20260507
	tb.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// Oracle: each lane alone. Lanes hold up to 20 bits, the sum of two coordinates.
func TestPackedAgainstLanes(t *testing.T) {
	r := newRand(t)
	point := func() (p packed, v [3]uint64) {
		for k := range 3 {
			v[k] = []uint64{0, 1, gridTop, 2*gridTop - 1, 2 * gridTop, r.Uint64N(2*gridTop + 1)}[r.IntN(6)]
			p |= packed(v[k] << (laneBits * k))
		}
		return p, v
	}
	for range 20_000 {
		a, x := point()
		b, y := point()
		for k := range 3 {
			if lo, hi := least(a, b).lane(k), most(a, b).lane(k); lo != min(x[k], y[k]) || hi != max(x[k], y[k]) {
				t.Fatalf("lane %d of %v and %v: least %d, most %d", k, x, y, lo, hi)
			}
		}
		if s := nothing.join(span{a, a}); s != (span{a, a}) {
			t.Fatalf("nothing and %v make %v", x, s)
		}
		d := [3]uint64{}
		for k := range 3 {
			d[k] = max(x[k], y[k]) - min(x[k], y[k]) + 1
		}
		if got, want := (span{least(a, b), most(a, b)}).area(), d[0]*d[1]+d[1]*d[2]+d[2]*d[0]; got != want {
			t.Fatalf("area of the box about %v and %v: %d, want %d", x, y, got, want)
		}
	}
}

// Oracle: a bit at a time.
func TestCurveAgainstBits(t *testing.T) {
	r := newRand(t)
	for range 2000 {
		p := packed(r.Uint64N(gridTop+1) | r.Uint64N(gridTop+1)<<laneBits | r.Uint64N(gridTop+1)<<(2*laneBits))
		want := uint64(0)
		for bit := range curveBits {
			for k := range 3 {
				want |= p.lane(k) >> (gridBits - curveBits + bit) & 1 << (3*bit + k)
			}
		}
		if got := p.curve(); got != want {
			t.Fatalf("place of %x on the curve: %x, want %x", p, got, want)
		}
	}
}

// Oracle: the standard library's sort, on any number of cores.
func TestSortDigitsAgainstSort(t *testing.T) {
	r := newRand(t)
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	for _, n := range []int{0, 1, 2, 1000, 10_000} {
		keys := make([]key, n)
		for i := range keys {
			keys[i] = key(r.Uint64()>>r.IntN(40)<<keyShift | uint64(i))
		}
		want := slices.Sorted(slices.Values(keys))
		for _, cores := range []int{1, 2, 5} {
			runtime.GOMAXPROCS(cores)
			if got := sortKeys(slices.Clone(keys)); !slices.Equal(got, want) {
				t.Errorf("%d keys on %d cores are not in order", n, cores)
			}
		}
	}
}

// Points in rows are left as they come; shuffled they are swept along the curve.
func TestSweepKnowsWhatFollowsOneAnother(t *testing.T) {
	r := newRand(t)
	var pts []r3.Vec
	for j := range 60 {
		for i := range 60 {
			pts = append(pts, r3.V(float64(i), float64(j), r.Float64()))
		}
	}
	if sweep(pts) != nil {
		t.Error("points in rows are put into another order")
	}
	r.Shuffle(len(pts), func(i, j int) { pts[i], pts[j] = pts[j], pts[i] })
	order := sweep(pts)
	if len(order) != len(pts) {
		t.Fatalf("the order of %d shuffled points has %d", len(pts), len(order))
	}
	way, seen := 0.0, make([]bool, len(pts))
	for i, k := range order {
		seen[k.index()] = true
		if i > 0 {
			way += pts[k.index()].Dist(pts[order[i-1].index()])
		}
	}
	if slices.Contains(seen, false) || way > 3*float64(len(pts)) {
		t.Errorf("the way along the curve is %.1f per point, all seen: %v", way/float64(len(pts)), !slices.Contains(seen, false))
	}
}

// Oracle: every way to cut a short stretch.
func TestCutIsTheCheapest(t *testing.T) {
	r := newRand(t)
	for range 300 {
		n := 1 + r.IntN(11)
		var c cutter
		for i := range n {
			g := grid{scale: gridTop}
			p := r3.V(float64(i)/20, r.Float64()/4, r.Float64()/4)
			q := p.AddScaled(0.2*r.Float64(), r3.V(1, 1, 1))
			c.spans[i] = span{g.cell(p), g.cell(q)}
		}
		var least func(from int) uint64
		least = func(from int) uint64 {
			if from == n {
				return 0
			}
			best := ^uint64(0)
			s := c.spans[from]
			for k := 1; k <= width && from+k <= n; k++ {
				s = s.join(c.spans[from+k-1])
				best = min(best, prices[k]*s.area()+least(from+k))
			}
			return best
		}
		at, cost := 7, uint64(0)
		for _, run := range c.cut(n, 7) {
			s := c.spans[at-7]
			for i := range int(run.num) {
				s = s.join(c.spans[at-7+i])
			}
			if int(run.first) != at || run.span != s {
				t.Fatalf("the run %+v begins at %d and has the box %v", run, at, s)
			}
			at += int(run.num)
			cost += prices[run.num] * s.area()
		}
		if at != 7+n || cost != least(0) {
			t.Fatalf("%d spans are cut up to %d at the cost %d, want %d", n, at-7, cost, least(0))
		}
	}
}

// Law: a plate never tells a distance above the true one, wherever the asker is.
func TestPlatesAreBelowTheDistance(t *testing.T) {
	r := newRand(t)
	in := func(size float64) r3.Vec { return r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Scale(size) }
	for trial := range 2000 {
		const pad = 1e-5
		size := math.Pow(10, -4*r.Float64())
		n := in(1)
		if trial%10 == 0 {
			n = r3.Vec{}
		}
		var pts []r3.Vec
		c := in(10)
		for range 3 + r.IntN(9) {
			d := in(size)
			pts = append(pts, c.Add(d).AddScaled(-0.9*d.Dot(n)/max(n.Norm2(), 1e-9), n))
		}
		p := newPlate(pts, c, n, pad)
		checkPlate(t, &p, pts, in, size)
	}
}

func checkPlate(t *testing.T, p *plate, pts []r3.Vec, in func(float64) r3.Vec, size float64) {
	for _, from := range []float64{size, 10 * size, 10} {
		q := float32Array(vec(p.c).Add(in(from)))
		d := math.Inf(1)
		for _, x := range pts {
			d = min(d, x.Dist(vec(q)))
		}
		if got := math.Sqrt(max(float64(p.dist2(&q)), 0)); got > d {
			t.Fatalf("plate %+v is %g from %v, a point of it %g", *p, got, q, d)
		}
	}
}

// mostBytesPerFace bounds what a build allocates, and mostPerChunk how often: a build for
// each of a check's scans must not drown it in garbage.
const (
	mostBytesPerFace = 140
	mostPerChunk     = 4
)

func TestBuildAllocatesLittle(t *testing.T) {
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	m := &mesh.Mesh{}
	const side = 200
	for j := range side + 1 {
		for i := range side + 1 {
			m.Pos = append(m.Pos, r3.V(float64(i), float64(j), math.Sin(float64(i)/5)))
		}
	}
	for j := range mesh.VertexID(side) {
		for i := range mesh.VertexID(side) {
			a := j*(side+1) + i
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, a + side + 2}, [3]mesh.VertexID{a, a + side + 2, a + side + 1})
		}
	}
	var stats [2]runtime.MemStats
	runtime.ReadMemStats(&stats[0])
	tree := Build(m)
	runtime.ReadMemStats(&stats[1])
	if got := float64(stats[1].TotalAlloc-stats[0].TotalAlloc) / float64(len(m.Tri)); got > mostBytesPerFace {
		t.Errorf("a build allocates %.0f bytes per face, want %d at most", got, mostBytesPerFace)
	}
	if got, most := stats[1].Mallocs-stats[0].Mallocs, uint64(20+mostPerChunk*len(m.Tri)/chunkSize); got > most {
		t.Errorf("a build of %d faces allocates %d times, want %d at most", len(m.Tri), got, most)
	}
	p := r3.V(3, 4, 5)
	if n := testing.AllocsPerRun(100, func() { tree.Nearest(p, 10) }); n > 0 {
		t.Errorf("a search allocates %g times", n)
	}
	if n := testing.AllocsPerRun(100, func() { tree.Ray(p, r3.V(0.1, 0.1, -1), 0, 100) }); n > 0 {
		t.Errorf("a ray allocates %g times", n)
	}
}
