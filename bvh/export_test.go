package bvh

import (
	"fmt"
	"hash/fnv"

	"selvage/mesh"
	"selvage/r3"
)

// Digest is a hash of the whole tree, for tests of determinism.
func (t *Tree) Digest() uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, t.origin, t.pad, t.root, t.nodes, t.blocks, t.plates)
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
	area := func(n *node, i int) float64 {
		b := bounds{[3]float32{n.box[0][i], n.box[2][i], n.box[4][i]}, [3]float32{n.box[1][i], n.box[3][i], n.box[5][i]}}
		return float64(b.halfArea())
	}
	whole := bounds{float32Array(t.bounds.Min), float32Array(t.bounds.Max)}
	nodes = 1
	var leaves, num float64
	for k := range t.nodes {
		n := &t.nodes[k]
		for i, c := range n.child {
			if c >= 0 {
				nodes += area(n, i) / float64(whole.halfArea())
				continue
			}
			held := 0.0
			for _, f := range t.blocks[c.leaf()] {
				if f.face >= 0 {
					held++
				}
			}
			if held > 0 {
				leaves++
				num += held
				triangles += area(n, i) / float64(whole.halfArea()) * held
			}
		}
	}
	return nodes, triangles, num / leaves
}

// CornerNormal is the pseudo-normal of a vertex.
func (t *Tree) CornerNormal(v mesh.VertexID) r3.Vec { return t.normals().corner(t.Mesh, v) }
