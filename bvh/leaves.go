package bvh

import (
	"selvage/mesh"
	"selvage/r3"
)

// maxLeaf is the most triangles that a leaf can hold.
const maxLeaf = width

// facet is a face in its leaf.
type facet struct {
	v    [3]mesh.VertexID
	face mesh.FaceID
}

// block is a leaf: up to maxLeaf facets, the rest with the face mesh.None. It is one line
// of the cache.
type block [maxLeaf]facet

// emptyBlock holds no face.
var emptyBlock = block{{face: mesh.None}, {face: mesh.None}, {face: mesh.None}, {face: mesh.None}}

// leaves makes the leaves of the sorted faces, each of the run of the same number, and
// returns their boxes. Number 0 is the empty one.
func (t *Tree) leaves(keys []key, runs []run) []bounds {
	boxes := make([]bounds, len(runs))
	t.blocks, t.plates = make([]block, len(runs)), make([]plate, len(runs))
	eachChunk(len(runs), func(_, from, to int) {
		for i := from; i < to; i++ {
			t.leaf(i, keys[runs[i].first:runs[i].first+runs[i].num], &boxes[i])
		}
	})
	return boxes
}

// leaf fills in leaf i and its box.
func (t *Tree) leaf(i int, keys []key, box *bounds) {
	b := &t.blocks[i]
	*b = emptyBlock
	if len(keys) == 0 {
		return
	}
	var p [3 * maxLeaf]r3.Vec
	var n r3.Vec
	for k, key := range keys {
		f := key.face()
		tri := t.Mesh.Tri[f]
		b[k] = facet{tri, f}
		x, y, z := t.Mesh.Pos[tri[0]].Sub(t.origin), t.Mesh.Pos[tri[1]].Sub(t.origin), t.Mesh.Pos[tri[2]].Sub(t.origin)
		p[3*k], p[3*k+1], p[3*k+2] = x, y, z
		n = n.Add(y.Sub(x).Cross(z.Sub(x)))
	}
	corners := p[:3*len(keys)]
	*box = boundsOf(corners, float32(t.pad))
	t.plates[i] = newPlate(corners, box.middle(), n, t.pad)
}

// bounds is a box in single precision, relative to the tree's origin.
type bounds struct{ lo, hi [3]float32 }

// boundsOf returns the box about points, widened by pad.
func boundsOf(pts []r3.Vec, pad float32) bounds {
	lo, hi := float32Array(pts[0]), float32Array(pts[0])
	for _, p := range pts[1:] {
		x, y, z := float32(p.X), float32(p.Y), float32(p.Z)
		lo[0], hi[0] = min(lo[0], x), max(hi[0], x)
		lo[1], hi[1] = min(lo[1], y), max(hi[1], y)
		lo[2], hi[2] = min(lo[2], z), max(hi[2], z)
	}
	for k := range 3 {
		lo[k] -= pad
		hi[k] += pad
	}
	return bounds{lo, hi}
}

// middle returns the middle of the box.
func (b *bounds) middle() r3.Vec {
	return r3.V(
		0.5*(float64(b.lo[0])+float64(b.hi[0])),
		0.5*(float64(b.lo[1])+float64(b.hi[1])),
		0.5*(float64(b.lo[2])+float64(b.hi[2])))
}

// join widens b by c.
func (b *bounds) join(c *bounds) {
	for k := range 3 {
		b.lo[k], b.hi[k] = min(b.lo[k], c.lo[k]), max(b.hi[k], c.hi[k])
	}
}

// halfArea returns half the surface of the box.
func (b *bounds) halfArea() float32 {
	x, y, z := b.hi[0]-b.lo[0], b.hi[1]-b.lo[1], b.hi[2]-b.lo[2]
	return x*y + y*z + z*x
}
