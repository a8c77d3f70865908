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
