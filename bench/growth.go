package main

import (
	"math"
	"runtime"
	"time"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// growth is what kernels take by the number of triangles, in processor time of one
// thread.
type growth struct {
	triangles int
	cpu       []time.Duration // by growthKernels
	heap      uint64          // bytes alive: mesh, topology and index
}

// growthKernels names the columns.
var growthKernels = []string{"half-edges", "index", "100,000 nearest points", "curvature", "shortest paths"}

// grow measures each kernel once at each size; the smallest is run first and again, for
// the first run pays for fresh memory.
func grow(sizes []int) []growth {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	var out []growth
	for i := -1; i < len(sizes); i++ {
		n := sizes[max(i, 0)]
		m := ridgeMesh(n)
		g := growth{triangles: len(m.Tri)}
		var topo *mesh.Topology
		var tree *bvh.Tree
		time := func(f func()) {
			runtime.GC()
			start := cpuTime()
			f()
			g.cpu = append(g.cpu, cpuTime()-start)
		}
		time(func() { topo = mesh.NewTopology(m) })
		time(func() { tree = bvh.Build(m) })
		near := make([]r3.Vec, 0, queries)
		for k := range queries {
			f := mesh.FaceID(k * len(m.Tri) / queries)
			near = append(near, m.Centroid(f).AddScaled(1, m.AreaVector(f).UnitOr(r3.V(0, 0, 1))))
		}
		time(func() { tree.NearestAll(near, math.Inf(1)) })
		time(func() { surface.Curvature(m, topo) })
		time(func() { surface.Geodesic(m, topo, []mesh.VertexID{0}, math.Inf(1)) })
		runtime.GC()
		var s runtime.MemStats
		runtime.ReadMemStats(&s)
		g.heap = s.HeapAlloc
		runtime.KeepAlive(tree)
		runtime.KeepAlive(topo)
		runtime.KeepAlive(near)
		if i >= 0 {
			out = append(out, g)
		}
	}
	return out
}

// copyRate is how fast memory moves here, bytes a second read and written: the least
// time in which anything can be done to so many bytes.
func copyRate() float64 {
	const size = 64 << 20
	from, to := make([]byte, size), make([]byte, size)
	copy(to, from)
	best := math.Inf(1)
	for range 9 {
		start := cpuTime()
		copy(to, from)
		copy(from, to)
		best = min(best, (cpuTime() - start).Seconds())
	}
	return 4 * size / best
}
