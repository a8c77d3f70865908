package bvh

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"selvage/mesh"
)

// Build makes the tree of m, which must not be altered afterwards. A mesh without
// faces makes a tree that finds nothing.
//
// The faces are sorted along a space-filling curve, and the curve is cut where the
// surface-area heuristic bids: into leaves of four faces at most, and nodes of four leaves
// at most. Splits of these nodes minimise the same heuristic over 16 bins of the axis
// along which they are spread most [Wald2007]; the binary tree is then folded to four
// children per node [Wald2008]. Cost: O(F log F),
// about 0.2 µs per face on one core; memory 60 bytes per face. Work is shared between
// cores by faces, never by time: the tree is the same for any number of them.
func Build(m *mesh.Mesh) *Tree {
	t := &Tree{Mesh: m, root: emptyRef}
	if len(m.Tri) == 0 {
		t.leaves(nil, make([]run, 1))
		return t
	}
	box := m.Box()
	t.origin = box.Center()
	t.pad = padShare * max(box.Longest(), math.SmallestNonzeroFloat32)
	t.bounds = box.Grow(t.pad)
	g := newGrid(box)
	keys := sorted(m, &g)
	runs := cutFaces(m, &g, keys)
	boxes := t.leaves(keys, runs)
	groups := cutRuns(runs[1:])
	for i := range groups {
		groups[i].first++ // behind the empty leaf
	}
	items := t.lowest(groups)
	lowest := len(t.nodes)
	t.root, t.nodes = fold(items, split(items), t.nodes)
	t.bound(lowest, boxes)
	return t
}

// BuildOn is [Build] for a mesh whose connections are known: a tree asked for them, as by
// [Tree.OnRim], does not find them anew.
func BuildOn(topo *mesh.Topology) *Tree {
	t := Build(topo.Mesh)
	t.topo = topo
	return t
}

// chunkSize is how many faces or points are a piece of work.
const chunkSize = 4096

// eachChunk calls do for the chunks of 0..n, numbered in order, on all cores.
func eachChunk(n int, do func(k, from, to int)) {
	eachPart((n+chunkSize-1)/chunkSize, func(k int) {
		do(k, k*chunkSize, min((k+1)*chunkSize, n))
	})
}

// eachPart calls do for 0..n-1, on all cores.
func eachPart(n int, do func(k int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for k := range n {
			do(k)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for k := int(next.Add(1)) - 1; k < n; k = int(next.Add(1)) - 1 {
				do(k)
			}
		})
	}
	wg.Wait()
}
