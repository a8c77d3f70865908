package surface

import (
	"runtime"
	"sync"

	"selvage/mesh"
)

// eachVertex calls do for every stride-th of n vertices, shared between the cores by
// number; each core has its own rings. do must write to a place of its own.
func eachVertex(topo *mesh.Topology, n, stride int, do func(r *rings, v mesh.VertexID)) {
	eachOf(topo, n, (n+stride-1)/stride, func(r *rings, i int) { do(r, mesh.VertexID(i*stride)) })
}

// eachOf calls do for 0 to todo-1, shared in the same way, over a mesh of n vertices.
func eachOf(topo *mesh.Topology, n, todo int, do func(r *rings, i int)) {
	const worth = 256 // vertices below which another core does not pay
	workers := min(runtime.GOMAXPROCS(0), max(1, todo/worth))
	l := linksFor(topo, n, todo)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			r := newRings(topo, n, l)
			for i := w * todo / workers; i < (w+1)*todo/workers; i++ {
				do(r, i)
			}
		})
	}
	wg.Wait()
}
