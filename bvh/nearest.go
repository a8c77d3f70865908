package bvh

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// task is a subtree that is still to be visited and the squared distance to its box.
type task struct {
	d2 float32
	to ref
}

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
// answer's face gives, so points that follow one another in space are faster. The
// result depends neither on that nor on the number of cores.
func (t *Tree) NearestAll(pts []r3.Vec, max float64) []Near {
	out := make([]Near, len(pts))
	eachChunk(len(pts), func(_, from, to int) {
		var last *facet
		for i := from; i < to; i++ {
			s := search{t: t, p: pts[i], d2: max * max, face: mesh.None}
			reach := max
			if last != nil {
				s.try(last)
				if s.face != mesh.None {
					reach = math.Sqrt(s.d2)
				}
			}
			s.run(reach)
			out[i], _ = s.near()
			if s.face != mesh.None {
				last = s.at
			}
		}
	})
	return out
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
	probe := s.t.probe(s.p)
	limit := probe.limit(reach)
	var buf [stackHint]task
	stack := append(buf[:0], task{0, s.t.root})
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if !(top.d2 <= limit) {
			continue
		}
		if top.to >= 0 {
			n := &s.t.nodes[top.to]
			if n.plate.r < 0 || !(n.plate.dist2(&probe.p) > limit) { // also where a huge p makes it NaN
				stack = n.push(stack, &probe.p, limit)
			}
			continue
		}
		leaf := top.to.leaf()
		if s.t.plates[leaf].dist2(&probe.p) > limit {
			continue
		}
		shrunk := false
		block := &s.t.blocks[leaf]
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

// push appends the children of n no farther than limit, the nearest last. Equal
// distances keep their order, though no result depends on it.
func (n *node) push(stack []task, p *[3]float32, limit float32) []task {
	base := len(stack)
	for i := range width {
		d := n.dist2(i, p)
		if !(d <= limit) {
			continue
		}
		stack = append(stack, task{d, n.child[i]})
		for k := len(stack) - 1; k > base && stack[k-1].d2 < stack[k].d2; k-- {
			stack[k-1], stack[k] = stack[k], stack[k-1]
		}
	}
	return stack
}
