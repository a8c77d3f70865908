package main

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/meshio/ply"
	"selvage/meshio/wire"
	"selvage/r3"
)

// queries is how many nearest points and rays are asked for.
const queries = 100_000

// median runs f so many times and returns the median time. Memory that an earlier
// run left behind is collected outside the clock.
func median(reps int, f func()) time.Duration {
	times := make([]time.Duration, reps)
	for i := range times {
		runtime.GC()
		start := time.Now()
		f()
		times[i] = time.Since(start)
	}
	slices.Sort(times)
	return times[(reps-1)/2]
}

// kernels measures what a check is made of, on the working scan.
func kernels(folder string, reps int) ([]row, error) {
	data, err := os.ReadFile(filepath.Join(folder, "working.stl"))
	if err != nil {
		return nil, err
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		return nil, err
	}
	m, _ := mesh.Build(soup)
	n := len(m.Tri)
	all := runtime.NumCPU()
	b := bencher{n: n, reps: reps}
	b.add("read binary STL", all, n, "triangles", func() { _, _, _ = meshio.Decode(data) })
	b.add("weld", all, n, "triangles", func() { mesh.Build(soup) })
	b.single("read and weld binary STL", n, "triangles", func() {
		soup, _, _ := meshio.Decode(data)
		mesh.Build(soup)
	})
	coloured, err := plyOf(m)
	if err != nil {
		return nil, err
	}
	b.single("read binary PLY with colours", n, "triangles", func() { _, _, _ = meshio.Decode(coloured) })
	b.add("half-edges", all, n, "triangles", func() { mesh.NewTopology(m) })
	b.single("half-edges, loops, pieces", n, "triangles", func() {
		t := mesh.NewTopology(m)
		t.Loops()
		t.Components()
	})
	b.add("index", all, n, "triangles", func() { bvh.Build(m) })
	b.single("index", n, "triangles", func() { bvh.Build(m) })

	tree := bvh.Build(m)
	near, far := points(m)
	b.single("nearest point, in order, close", len(near), "queries", func() { nearest(tree, near) })
	b.single("nearest point, scattered", len(far), "queries", func() { nearest(tree, far) })
	b.add("nearest point, in order, batch", all, len(near), "queries", func() { tree.NearestAll(near, math.Inf(1)) })
	mixed := slices.Clone(near)
	rng := rand.New(rand.NewPCG(5, 6))
	rng.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	b.single("nearest point, shuffled, batch", len(mixed), "queries", func() { tree.NearestAll(mixed, math.Inf(1)) })
	tree.SignedDistance(near[0], math.Inf(1)) // makes the pseudo-normals
	b.single("signed distance, in order, close", len(near), "queries", func() {
		for _, p := range near {
			tree.SignedDistance(p, math.Inf(1))
		}
	})
	b.single("rays, any direction, first hit", len(far), "rays", func() {
		for i, p := range far {
			tree.Ray(p, far[len(far)-1-i].Sub(p), 0, math.Inf(1))
		}
	})
	from, dir := rays(m)
	b.single("rays, parallel, first hit", len(from), "rays", func() {
		for i, o := range from {
			tree.Ray(o, dir[i], 0, math.Inf(1))
		}
	})
	b.single("rays, parallel, blocked or not", len(from), "rays", func() {
		for i, o := range from {
			tree.Occluded(o, dir[i], 0, math.Inf(1))
		}
	})
	return b.rows, nil
}

// plyOf returns a scan as binary PLY with colours.
func plyOf(m *mesh.Mesh) ([]byte, error) {
	painted := &mesh.Mesh{Pos: m.Pos, Tri: m.Tri, Color: make([]mesh.RGB, len(m.Pos))}
	for v := range painted.Color {
		painted.Color[v] = mesh.RGB{uint8(v), uint8(v >> 8), uint8(v >> 16)}
	}
	var b bytes.Buffer
	err := ply.Encode(&b, painted, ply.Options{Encoding: wire.BinaryLittle})
	return b.Bytes(), err
}

// bencher gathers rows.
type bencher struct {
	n, reps int
	rows    []row
}

func (b *bencher) add(what string, cores, items int, unit string, f func()) {
	d := median(b.reps, f)
	b.rows = append(b.rows, row{what: what, triangles: b.n, cores: cores, median: d, rate: perSecond(items, d, unit)})
}

// single measures on one core.
func (b *bencher) single(what string, items int, unit string, f func()) {
	was := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(was)
	b.add(what, 1, items, unit, f)
}

func nearest(t *bvh.Tree, pts []r3.Vec) {
	for _, p := range pts {
		t.Nearest(p, math.Inf(1))
	}
}

// points returns queries near the surface in the order of its vertices, as in
// comparing two scans, and queries scattered over the box.
func points(m *mesh.Mesh) (near, far []r3.Vec) {
	rng := rand.New(rand.NewPCG(5, 5))
	box := m.Box()
	size := box.Size()
	step := max(1, len(m.Pos)/queries)
	for i := 0; i < len(m.Pos); i += step {
		d := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).Scale(0.1)
		near = append(near, m.Pos[i].Add(d))
	}
	for range queries {
		far = append(far, box.Min.Add(r3.V(rng.Float64()*size.X, rng.Float64()*size.Y, rng.Float64()*size.Z)))
	}
	return near, far
}

// rays returns parallel rays that look at the scan along the direction it was seen
// from, on a grid over its box.
func rays(m *mesh.Mesh) (from, dir []r3.Vec) {
	u := m.VectorArea().UnitOr(r3.V(0, 0, 1))
	e1, e2 := u.Basis()
	c, reach := m.Box().Center(), m.Box().Longest()/2
	side := int(math.Sqrt(queries))
	for i := range side {
		for j := range side {
			x := (2*float64(i)/float64(side-1) - 1) * reach
			y := (2*float64(j)/float64(side-1) - 1) * reach
			from = append(from, c.AddScaled(x, e1).AddScaled(y, e2).AddScaled(2*reach, u))
			dir = append(dir, u.Neg())
		}
	}
	return from, dir
}
