package bvh

import (
	"math"
	"runtime"
	"sync"

	"selvage/mesh"
	"selvage/r3"
)

const (
	numBins = 16 // candidate planes of a split are numBins-1 per axis

	// costSplit and costTriangle are the costs of testing the two boxes of a split and
	// one triangle. The ratio was chosen by the time of nearest-point queries: 0.7, 1.0,
	// 1.4 and 2.0 for a triangle gave 786, 751, 819 and 808 ns.
	costSplit    = 2.0
	costTriangle = 0.5

	// goMin is the least number of faces worth a goroutine of their own.
	goMin = 8192

	// maxDepth is where splits turn to halving the list, so that no mesh, however
	// unevenly its faces are sized, makes a tree deeper than maxDepth+31.
	maxDepth = 48
)

// record is a face on its way through the build: its box relative to the tree's
// origin.
type record struct {
	lo, hi [3]float32
	face   mesh.FaceID
}

// twig is a node of the binary tree that the wide one is made from. A leaf has no
// right.
type twig struct {
	lo, hi      [3]float32
	left, right int32
	first, num  int32
}

// Build makes the tree of m, which must not be altered afterwards. A mesh without
// faces makes a tree that finds nothing.
//
// Splits minimise the surface-area heuristic over 16 bins on each axis [Wald2007]; the
// binary tree is then folded to four children per node [Wald2008]. Cost: O(F log F),
// about 0.4 µs per face on one core; memory 130 bytes per face. Work is shared between cores
// by faces, never by time: the tree is the same for any number of them.
func Build(m *mesh.Mesh) *Tree {
	t := &Tree{Mesh: m, root: leafRef(0, 0)}
	n := len(m.Tri)
	if n == 0 {
		return t
	}
	box := facesBox(m)
	t.origin = box.Center()
	t.pad = padShare * max(box.Longest(), math.SmallestNonzeroFloat32)
	t.bounds = box.Grow(t.pad)
	b := builder{recs: make([]record, n), twigs: make([]twig, 2*n-1)}
	chunks(n, func(from, to int) { b.record(t, from, to) })
	b.grow(0, 0, n, 0)
	b.wg.Wait()
	t.tris, t.discs = make([]triangle, n), make([]disc, n)
	chunks(n, func(from, to int) {
		for i := from; i < to; i++ {
			f := b.recs[i].face
			x, y, z := m.Corners(f)
			t.tris[i] = triangle{x, y, z, f}
			t.discs[i] = t.disc(x, y, z)
		}
	})
	f := folder{twigs: b.twigs, nodes: make([]node, 0, n/3+1)}
	t.root = f.fold(0)
	t.nodes = f.nodes
	return t
}

// disc returns the plate about a triangle. Where rounding has left the normal no better
// than the corners being off its plane by the pad, it is the ball.
func (t *Tree) disc(x, y, z r3.Vec) disc {
	c := x.Add(y).Add(z).Scale(1.0 / 3)
	n, _ := y.Sub(x).Cross(z.Sub(x)).Unit()
	dx, dy, dz := x.Sub(c), y.Sub(c), z.Sub(c)
	r := math.Sqrt(max(dx.Norm2(), dy.Norm2(), dz.Norm2()))
	if max(math.Abs(n.Dot(dx)), math.Abs(n.Dot(dy)), math.Abs(n.Dot(dz))) > 0.5*t.pad {
		n = r3.Vec{}
	}
	return disc{c: float32Array(c.Sub(t.origin)), n: float32Array(n), r: float32(r + 2*t.pad)}
}

// facesBox returns the box of the corners that faces use.
func facesBox(m *mesh.Mesh) r3.Box {
	b := r3.EmptyBox()
	for _, t := range m.Tri {
		for _, v := range t {
			b = b.Extend(m.Pos[v])
		}
	}
	return b
}

// chunks calls do for parts of 0..n, on all cores. Where they begin and end may
// depend on the number of cores; what do does for an index must not.
func chunks(n int, do func(from, to int)) {
	const size = 4096
	if n <= size || runtime.GOMAXPROCS(0) == 1 {
		do(0, n)
		return
	}
	var wg sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wg.Go(func() {
			for from := w * size; from < n; from += workers * size {
				do(from, min(from+size, n))
			}
		})
	}
	wg.Wait()
}

// builder splits the faces into a binary tree. The subtree of faces first..first+n
// owns the 2n-1 twigs from its own on, so subtrees need no lock and no order.
type builder struct {
	recs  []record
	twigs []twig
	wg    sync.WaitGroup
}

// record fills in the boxes of the faces from..to.
func (b *builder) record(t *Tree, from, to int) {
	pad := float32(t.pad)
	for i := from; i < to; i++ {
		x, y, z := t.Mesh.Corners(mesh.FaceID(i))
		p, q, s := float32Array(x.Sub(t.origin)), float32Array(y.Sub(t.origin)), float32Array(z.Sub(t.origin))
		r := record{face: mesh.FaceID(i)}
		for k := range 3 {
			r.lo[k] = min(p[k], q[k], s[k]) - pad
			r.hi[k] = max(p[k], q[k], s[k]) + pad
		}
		b.recs[i] = r
	}
}

// grow makes the subtree of the n faces from first, at twig at.
func (b *builder) grow(at, first, n, depth int) {
	recs := b.recs[first : first+n]
	t := &b.twigs[at]
	e := measureExtent(recs)
	t.lo, t.hi = e.lo, e.hi
	t.first, t.num = int32(first), int32(n)
	if n <= costSplit/costTriangle { // even a split that costs no triangle would not pay
		return
	}
	nl, cost := b.part(recs, &e, depth)
	if n <= maxLeaf && !(costSplit+cost/halfArea(t.lo, t.hi) < costTriangle*float32(n)) {
		return
	}
	left, right := at+1, at+2*nl
	t.left, t.right = int32(left), int32(right)
	if n >= goMin {
		b.wg.Go(func() { b.grow(left, first, nl, depth+1) })
	} else {
		b.grow(left, first, nl, depth+1)
	}
	b.grow(right, first+nl, n-nl, depth+1)
}

// part orders recs into a left and a right part and returns the size of the left and
// the cost of the two.
func (b *builder) part(recs []record, e *extent, depth int) (nl int, cost float32) {
	n := len(recs)
	switch {
	case n <= fewFaces:
		return splitFew(recs, e)
	case depth < maxDepth:
		if s := bestSplit(recs, e); s.plane > 0 {
			return partition(recs, s), s.cost
		}
	}
	return n / 2, 0 // all in one place, or too deep: halve the list, whose order is fixed
}

// halfArea returns half the surface of a box; at least a normal number, so that it can
// divide.
func halfArea(lo, hi [3]float32) float32 {
	x, y, z := hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]
	if a := x*y + y*z + z*x; a > tiny32 {
		return a
	}
	return tiny32
}

// folder turns the binary tree into the wide one, in the order of a walk.
type folder struct {
	twigs []twig
	nodes []node
}

// fold returns the wide subtree at twig at.
func (f *folder) fold(at int32) ref {
	t := &f.twigs[at]
	if t.right == 0 {
		return leafRef(int(t.first), int(t.num))
	}
	kids, num := f.children(t)
	id := len(f.nodes)
	f.nodes = append(f.nodes, node{})
	var n node
	for i := range width {
		n.child[i] = leafRef(0, 0)
		if i >= num {
			for k := range 3 { // an empty slot: a point where nothing is
				n.box[2*k][i], n.box[2*k+1][i] = math.MaxFloat32, math.MaxFloat32
			}
			continue
		}
		c := &f.twigs[kids[i]]
		for k := range 3 {
			n.box[2*k][i], n.box[2*k+1][i] = c.lo[k], c.hi[k]
		}
		n.child[i] = f.fold(kids[i])
	}
	f.nodes[id] = n
	return ref(id)
}

// children opens the largest of t's descendants until there are as many as a node
// holds.
func (f *folder) children(t *twig) (kids [width]int32, n int) {
	kids[0], kids[1], n = t.left, t.right, 2
	for n < width {
		open, area := -1, float32(0)
		for i, k := range kids[:n] {
			c := &f.twigs[k]
			if a := halfArea(c.lo, c.hi); c.right != 0 && a > area {
				open, area = i, a
			}
		}
		if open < 0 {
			break
		}
		c := &f.twigs[kids[open]]
		kids[open], kids[n] = c.left, c.right
		n++
	}
	return kids, n
}
