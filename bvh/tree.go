package bvh

import (
	"math"
	"sort"

	"selvage/mesh"
	"selvage/r3"
)

// Tree is a hierarchy of boxes over the faces of one mesh.
type Tree struct {
	Mesh *mesh.Mesh

	nodes []node
	order []mesh.FaceID
}

type node struct {
	box         r3.Box
	left, right int32
	first, num  int32
}

// Near is the answer to a nearest-point query: the face, its point, the distance.
// Where nothing was in reach Face is mesh.None and D is +Inf.
type Near struct {
	Face  mesh.FaceID
	Point r3.Vec
	D     float64
}

// Hit is where a ray meets a face: Point = o + T·d.
type Hit struct {
	Face  mesh.FaceID
	T     float64
	Point r3.Vec
}

func nowhere() Near { return Near{Face: mesh.None, D: math.Inf(1)} }

// Build makes the tree of m, which it keeps and must not be altered afterwards. A
// mesh without faces makes a tree that finds nothing.
func Build(m *mesh.Mesh) *Tree {
	t := &Tree{Mesh: m, order: make([]mesh.FaceID, len(m.Tri))}
	cen := make([]r3.Vec, len(m.Tri))
	for i := range m.Tri {
		t.order[i] = mesh.FaceID(i)
		cen[i] = m.Centroid(mesh.FaceID(i))
	}
	if len(m.Tri) > 0 {
		t.split(cen, 0, len(m.Tri))
	}
	return t
}

func (t *Tree) split(cen []r3.Vec, first, num int) int32 {
	id := int32(len(t.nodes))
	b, cb := r3.EmptyBox(), r3.EmptyBox()
	for _, f := range t.order[first : first+num] {
		x, y, z := t.Mesh.Corners(f)
		b = b.Extend(x).Extend(y).Extend(z)
		cb = cb.Extend(cen[f])
	}
	t.nodes = append(t.nodes, node{box: b.Grow(1e-9 * (1 + b.Longest())), first: int32(first), num: int32(num)})
	if num <= 4 {
		return id
	}
	s := cb.Size()
	axis := 0
	if s.Y > s.X {
		axis = 1
	}
	if s.Z > max(s.X, s.Y) {
		axis = 2
	}
	part := t.order[first : first+num]
	sort.Slice(part, func(i, j int) bool {
		x, y := cen[part[i]].Array()[axis], cen[part[j]].Array()[axis]
		return x < y || x == y && part[i] < part[j]
	})
	l := t.split(cen, first, num/2)
	r := t.split(cen, first+num/2, num-num/2)
	t.nodes[id].left, t.nodes[id].right, t.nodes[id].num = l, r, 0
	return id
}
