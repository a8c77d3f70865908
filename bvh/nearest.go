package bvh

import (
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// task is a subtree that is still to be visited: the squared distance to its box above,
// and its ref below.
//
// WHY one word: the bits of floats that are not negative are in the order of the floats,
// so tasks are compared and moved as integers, without a branch for each half.
type task uint64

func newTask(d2 float32, to ref) task { return task(math.Float32bits(d2))<<32 | task(uint32(to)) }

func (t task) d2() float32 { return math.Float32frombits(uint32(t >> 32)) }

func (t task) to() ref { return ref(uint32(t)) }

// stackHint is the depth of the stack that is kept in the frame of a query. Deeper
// trees are right all the same; they allocate.
const stackHint = 64

// Nearest returns the point of the surface nearest to p and no farther than max (which
// may be +Inf); ok is false where there is none. Equal distances go to the lowest face
// id. Cost: about 1 µs for a point near a scan.
func (t *Tree) Nearest(p r3.Vec, max float64) (near Near, ok bool) {
	s := search{t: t, p: p, d2: max * max, face: mesh.None}
	s.run(max)
	return s.near()
}

// NearestAll returns the answer of [Tree.Nearest] for every point; Face is mesh.None
// and D +Inf where there is none. Each search starts from the bound that the previous
// answer's face gives, so points that follow one another in space are faster; those that
// do not are asked in another order. The result depends neither on that nor on the number
// of cores.
func (t *Tree) NearestAll(pts []r3.Vec, max float64) []Near {
	out := make([]Near, len(pts))
	order := sweep(pts)
	eachChunk(len(pts), func(_, from, to int) {
		var last *facet
		for i := from; i < to; i++ {
			at := i
			if order != nil {
				at = order[i].index()
			}
			out[at], last = t.nearestFrom(last, pts[at], max)
		}
	})
	return out
}

// nearestFrom is [Tree.Nearest] that tries the face of another answer first, where there
// is one, and returns that of its own.
func (t *Tree) nearestFrom(last *facet, p r3.Vec, max float64) (Near, *facet) {
	s := search{t: t, p: p, d2: max * max, face: mesh.None}
	reach := max
	if last != nil {
		s.try(last)
		if s.face != mesh.None {
			reach = math.Sqrt(s.d2)
		}
	}
	s.run(reach)
	if s.face == mesh.None {
		return nowhere(), last
	}
	near, _ := s.near()
	return near, s.at
}

// search is a nearest-point query under way.
type search struct {
	t    *Tree
	p, q r3.Vec  // the point asked about; the nearest one so far
	d2   float64 // its squared distance, or that of the reach
	face mesh.FaceID
	at   *facet
}

func (s *search) near() (Near, bool) {
	if s.face == mesh.None {
		return nowhere(), false
	}
	return Near{Face: s.face, Point: s.q, D: math.Sqrt(s.d2)}, true
}

// try takes a face if it is nearer than the best so far, and reports whether the bound
// has shrunk.
func (s *search) try(f *facet) bool {
	pos := s.t.Mesh.Pos
	q, _ := closest(pos[f.v[0]], pos[f.v[1]], pos[f.v[2]], s.p)
	d2 := q.Dist2(s.p)
	if d2 < s.d2 {
		s.d2, s.q, s.face, s.at = d2, q, f.face, f
		return true
	}
	if d2 == s.d2 && (s.face == mesh.None || f.face < s.face) {
		s.q, s.face, s.at = q, f.face, f
	}
	return false
}

// run visits what may hold a point no farther than reach, nearest boxes first.
func (s *search) run(reach float64) {
	t := s.t
	probe := t.probe(s.p)
	limit := probe.limit(reach)
	var buf [stackHint]task
	stack := append(buf[:0], newTask(0, t.root))
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if !(top.d2() <= limit) {
			continue
		}
		to := top.to()
		if to >= 0 {
			stack = t.nodes[to].push(stack, &probe.p, limit)
			continue
		}
		leaf := to.leaf()
		if t.plates[leaf].dist2(&probe.p) > limit {
			continue // not where a huge p makes it NaN
		}
		shrunk := false
		block := &t.blocks[leaf]
		for i := range block {
			if block[i].face == mesh.None {
				break
			}
			shrunk = s.try(&block[i]) || shrunk
		}
		if shrunk {
			limit = probe.limit(math.Sqrt(s.d2))
		}
	}
}

// room returns stack with room for the children of a node.
func room(stack []task) []task {
	if cap(stack)-len(stack) < width {
		return slices.Grow(stack, stackHint)
	}
	return stack
}

// insert puts t into s[base:top], which is in falling order, and which has room.
func insert(s []task, base, top int, t task) {
	k := top
	for ; k > base && s[k-1] < t; k-- {
		s[k] = s[k-1]
	}
	s[k] = t
}

// push appends the children of n no farther than limit, the nearest last.
func (n *node) push(stack []task, p *[3]float32, limit float32) []task {
	base := len(stack)
	stack = room(stack)[:base+width]
	top := base
	x, y, z := p[0], p[1], p[2]
	for i := range width {
		u := outside(n.box[0][i], n.box[1][i], x)
		v := outside(n.box[2][i], n.box[3][i], y)
		w := outside(n.box[4][i], n.box[5][i], z)
		if d := u*u + v*v + w*w; d <= limit {
			insert(stack, base, top, newTask(d, n.child[i]))
			top++
		}
	}
	return stack[:top]
}
