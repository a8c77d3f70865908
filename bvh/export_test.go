package bvh

import (
	"fmt"
	"hash/fnv"

	"selvage/r3"
)

// Digest is a hash of the whole tree, for tests of determinism.
func (t *Tree) Digest() uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, t.origin, t.pad, t.root, t.nodes, t.tris)
	return h.Sum64()
}

// Closest is the primitive, for its own tests.
func Closest(a, b, c, p r3.Vec) (r3.Vec, int) {
	q, f := closest(a, b, c, p)
	return q, int(f)
}

// Quality returns the expected cost of a random ray by the surface-area heuristic, split
// into inner nodes and triangles, and the mean size of a leaf.
func (t *Tree) Quality() (nodes, triangles, leaf float64) {
	var leaves, num float64
	var area func(n *node, i int) float64 = func(n *node, i int) float64 {
		return float64(halfArea([3]float32{n.box[0][i], n.box[2][i], n.box[4][i]}, [3]float32{n.box[1][i], n.box[3][i], n.box[5][i]}))
	}
	lo, hi := t.bounds.Min, t.bounds.Max
	whole := float64(halfArea(float32Array(lo), float32Array(hi)))
	nodes = 1
	for k := range t.nodes {
		n := &t.nodes[k]
		for i, c := range n.child {
			if c >= 0 {
				nodes += area(n, i) / whole
				continue
			}
			if first, end := c.leaf(); end > first {
				leaves++
				num += float64(end - first)
				triangles += area(n, i) / whole * float64(end-first)
			}
		}
	}
	return nodes, triangles, num / leaves
}
