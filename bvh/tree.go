package bvh

import (
	"math"
	"sync"

	"selvage/mesh"
	"selvage/r3"
)

// width is the number of children of an inner node.
const width = 4

// node is an inner node: the boxes of its children side by side, and what each child
// is. The order within box (min x of all children, max x of all, min y …) is that of
// vector registers.
type node struct {
	box   [6][width]float32
	child [width]ref
}

// ref is a child: the index of a node where it is not negative, else the complement of
// the number of a leaf, of which 0 is the empty one.
type ref int32

// emptyRef is a child that is not there.
const emptyRef ref = ^0

func leafRef(leaf int32) ref { return ^ref(leaf) }

// leaf returns the number of a leaf.
func (r ref) leaf() int { return int(^r) }

// Tree is a hierarchy of boxes over the faces of one mesh. It is safe for concurrent
// use.
type Tree struct {
	Mesh *mesh.Mesh

	origin r3.Vec  // what the float32 boxes are relative to
	pad    float64 // what they are widened by, see padShare
	bounds r3.Box  // of the mesh, in its own frame, widened
	root   ref
	nodes  []node
	blocks []block // the leaves
	plates []plate // of the leaves

	topoOnce sync.Once
	topo     *mesh.Topology

	pseudoOnce sync.Once
	pseudo     pseudoNormals
}

// corners returns the corner points of a face.
func (t *Tree) corners(f *facet) (a, b, c r3.Vec) {
	pos := t.Mesh.Pos
	return pos[f.v[0]], pos[f.v[1]], pos[f.v[2]]
}

// Near is the answer to a nearest-point query: the face, its point, the distance.
// Where nothing was in reach Face is mesh.None and D is +Inf.
type Near struct {
	Face  mesh.FaceID
	Point r3.Vec
	D     float64
}

// Hit is where a ray meets a face: Point = o + T·d, T in lengths of d.
type Hit struct {
	Face  mesh.FaceID
	T     float64
	Point r3.Vec
}

func nowhere() Near { return Near{Face: mesh.None, D: math.Inf(1)} }

func noHit() Hit { return Hit{Face: mesh.None, T: math.Inf(1)} }

// float32Array returns p in single precision.
func float32Array(p r3.Vec) [3]float32 {
	return [3]float32{float32(p.X), float32(p.Y), float32(p.Z)}
}

// largest returns the largest coordinate of p without its sign.
func largest(p r3.Vec) float64 { return max(math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)) }
