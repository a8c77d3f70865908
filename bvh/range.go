package bvh

import (
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// InSphere appends to dst[:0] the faces with a point no farther than r from c, in
// ascending order.
func (t *Tree) InSphere(dst []mesh.FaceID, c r3.Vec, r float64) []mesh.FaceID {
	dst = dst[:0]
	if !(r >= 0) {
		return dst
	}
	q := t.probe(c)
	limit := q.limit(r)
	t.gather(func(n *node, i int) bool { return n.dist2(i, &q.p) <= limit }, func(f *facet) {
		if x, y, z := t.corners(f); touchesSphere(x, y, z, c, r) {
			dst = append(dst, f.face)
		}
	})
	slices.Sort(dst)
	return dst
}

func touchesSphere(a, b, c, center r3.Vec, r float64) bool {
	q, _ := closest(a, b, c, center)
	return q.Dist2(center) <= r*r
}

// InBox appends to dst[:0] the faces with a point in box, its sides included, in
// ascending order.
func (t *Tree) InBox(dst []mesh.FaceID, box r3.Box) []mesh.FaceID {
	dst = dst[:0]
	if box.Empty() {
		return dst
	}
	lo, hi := box.Min.Sub(t.origin), box.Max.Sub(t.origin)
	err := queryShare * max(largest(lo), largest(hi))
	p := float32Array(lo.Sub(r3.V(err, err, err)))
	q := float32Array(hi.Add(r3.V(err, err, err)))
	t.gather(func(n *node, i int) bool {
		return n.box[0][i] <= q[0] && n.box[1][i] >= p[0] && n.box[2][i] <= q[1] && n.box[3][i] >= p[1] &&
			n.box[4][i] <= q[2] && n.box[5][i] >= p[2]
	}, func(f *facet) {
		if x, y, z := t.corners(f); touchesBox(x, y, z, box) {
			dst = append(dst, f.face)
		}
	})
	slices.Sort(dst)
	return dst
}

// gather calls take for the faces of every leaf that enter lets through.
func (t *Tree) gather(enter func(n *node, child int) bool, take func(*facet)) {
	var buf [stackHint]ref
	stack := append(buf[:0], t.root)
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if top < 0 {
			block := &t.blocks[top.leaf()]
			for i := range block {
				if block[i].face == mesh.None {
					break
				}
				take(&block[i])
			}
			continue
		}
		n := &t.nodes[top]
		for i := range width {
			if enter(n, i) {
				stack = append(stack, n.child[i])
			}
		}
	}
}

// touchesBox reports whether triangle abc and the box have a point in common: no axis
// of the box, normal of the triangle, or cross product of two of their edges parts
// them [AkenineMoller2001].
func touchesBox(a, b, c r3.Vec, box r3.Box) bool {
	if !meets(r3.BoxOf(a, b, c), box) {
		return false
	}
	m, h := box.Center(), box.Size().Scale(0.5)
	tri := [3]r3.Vec{a.Sub(m), b.Sub(m), c.Sub(m)}
	if parted(tri, h, tri[1].Sub(tri[0]).Cross(tri[2].Sub(tri[0]))) {
		return false
	}
	for i := range 3 {
		e := tri[(i+1)%3].Sub(tri[i])
		if parted(tri, h, r3.V(0, -e.Z, e.Y)) || parted(tri, h, r3.V(e.Z, 0, -e.X)) || parted(tri, h, r3.V(-e.Y, e.X, 0)) {
			return false
		}
	}
	return true
}

// parted reports whether the triangle and the box of half size h about the origin lie
// apart along axis.
func parted(tri [3]r3.Vec, h, axis r3.Vec) bool {
	x, y, z := tri[0].Dot(axis), tri[1].Dot(axis), tri[2].Dot(axis)
	r := h.Dot(r3.V(math.Abs(axis.X), math.Abs(axis.Y), math.Abs(axis.Z)))
	return min(x, y, z) > r || max(x, y, z) < -r
}

// meets reports whether two boxes have a point in common.
func meets(a, b r3.Box) bool {
	return a.Min.X <= b.Max.X && a.Max.X >= b.Min.X && a.Min.Y <= b.Max.Y && a.Max.Y >= b.Min.Y &&
		a.Min.Z <= b.Max.Z && a.Max.Z >= b.Min.Z
}
