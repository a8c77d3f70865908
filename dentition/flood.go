package dentition

import (
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// flood lets fronts run over a mesh and keeps, for each vertex, the nearest and the
// nearest other one.
type flood struct {
	m      *mesh.Mesh
	normal []r3.Vec
	first  []int32 // of each vertex in next
	next   []mesh.VertexID
	enough float64 // a front that is behind the nearest by more is let go; +Inf: none is
	dist   [2][]float64
	label  [2][]int16 // -1 where no front has come
	seeds  []front
	queue  fronts
	sent   []offer // of each vertex
}

func newFlood(m *mesh.Mesh, normals []r3.Vec) *flood {
	n := len(m.Pos)
	f := &flood{m: m, first: make([]int32, n+1), enough: math.Inf(1)}
	for _, t := range m.Tri {
		for _, v := range t {
			f.first[v+1] += 2
		}
	}
	for v := range n {
		f.first[v+1] += f.first[v]
	}
	f.normal = normalsOver(m, normals, normalReach)
	f.next = make([]mesh.VertexID, f.first[n])
	fill := append([]int32(nil), f.first[:n]...)
	for _, t := range m.Tri {
		for i, v := range t {
			k := fill[v]
			f.next[k], f.next[k+1] = t[(i+1)%3], t[(i+2)%3]
			fill[v] = k + 2
		}
	}
	for k := range f.dist {
		f.dist[k], f.label[k] = make([]float64, n), make([]int16, n)
		for v := range n {
			f.dist[k][v], f.label[k][v] = math.Inf(1), -1
		}
	}
	return f
}

// around returns the vertices that a face joins to v; twice those that two faces do.
func (f *flood) around(v mesh.VertexID) []mesh.VertexID { return f.next[f.first[v]:f.first[v+1]] }

// cost is that of the edge from v to w, the same both ways.
//
// WHY when a front takes it: most edges lie between two seeds of one label, and no front
// ever does.
func (f *flood) cost(v, w mesh.VertexID) float64 {
	return float64(float32(pathOver(f.m.Pos[v], f.m.Pos[w], f.normal[v], f.normal[w])))
}

// normalsOver returns vertex normals averaged over about the given distance: each
// round over the neighbours widens by the spacing, in quadrature. normals are those of the
// vertices, or nil.
func normalsOver(m *mesh.Mesh, normals []r3.Vec, reach float64) []r3.Vec {
	const most = 12 // rounds: a spacing of 0.1 mm; finer ones are noisier, too
	s := m.MedianEdge()
	if s == 0 {
		return surface.SmoothNormalsOf(m, normals, 0)
	}
	return surface.SmoothNormalsOf(m, normals, int(max(0, min(most, math.Round(reach*reach/(s*s))-1))))
}

// pathOver is the cost of one edge; see [Label].
func pathOver(p, q, n, o r3.Vec) float64 {
	e := q.Sub(p)
	l := e.Norm()
	if l == 0 {
		return 0
	}
	k := o.Sub(n).Dot(e) / (l * l)
	return l * (1 + creaseCost*max(0, -k-evenTurn))
}

func (f *flood) start(v mesh.VertexID, label int16) {
	f.seeds = append(f.seeds, front{0, v, label})
}

// run settles every vertex at most twice, with different labels. Ties go to the
// lower vertex, then to the lower label.
//
// Most vertices are seeds, and most edges are seen from both their faces and by two
// labels; a queue that holds all of that is ten times as long as the answer, and its
// moves are all that costs. So the seeds wait in a sorted list beside the queue, and
// nothing is queued that two cheaper fronts of different labels have already been
// sent to a vertex for: it could settle there neither first nor second. What is left
// comes out in the same order, for the order of fronts is total.
//
// With a bound on what is enough, a second front that comes to a vertex so much behind the
// first stops there. Wherever it would go on to the first is there as much before it, for
// that can take the same way: all that stays unsettled is farther behind than is asked.
func (f *flood) run() {
	slices.SortFunc(f.seeds, front.compare)
	f.sent = make([]offer, len(f.first)-1)
	for v := range f.sent {
		f.sent[v] = noOffer
	}
	for _, s := range f.seeds {
		f.sent[s.v].take(s.d, s.label)
	}
	next := 0
	for next < len(f.seeds) || len(f.queue) > 0 {
		var x front
		if len(f.queue) == 0 || next < len(f.seeds) && f.seeds[next].before(f.queue[0]) {
			x = f.seeds[next]
			next++
		} else {
			x = f.queue.pop()
		}
		k := 0
		if f.label[0][x.v] >= 0 {
			k = 1
		}
		if f.label[0][x.v] == x.label || f.label[k][x.v] >= 0 {
			continue
		}
		if k == 1 && x.d-f.dist[0][x.v] > f.enough {
			continue
		}
		f.dist[k][x.v], f.label[k][x.v] = x.d, x.label
		for _, to := range f.around(x.v) {
			o := &f.sent[to]
			if o.label[0] == x.label && o.d[0] <= x.d || o.label[1] >= 0 && o.d[1] < x.d {
				continue // whatever the edge costs
			}
			if d := x.d + f.cost(x.v, to); o.take(d, x.label) {
				f.queue.push(front{d, to, x.label})
			}
		}
	}
}

// offer holds the cheapest front that was sent to a vertex, and the cheapest one of
// another label.
type offer struct {
	d     [2]float64
	label [2]int16 // -1 for none yet
}

var noOffer = offer{d: [2]float64{math.Inf(1), math.Inf(1)}, label: [2]int16{-1, -1}}

// take notes a front and reports whether it may still settle at the vertex.
func (o *offer) take(d float64, label int16) bool {
	less := func(k int) bool { return d < o.d[k] || d == o.d[k] && label < o.label[k] }
	switch {
	case label == o.label[0]:
		if !less(0) {
			return false
		}
		o.d[0] = d
	case o.label[0] < 0 || less(0):
		o.d[1], o.label[1] = o.d[0], o.label[0]
		o.d[0], o.label[0] = d, label
	case o.label[1] < 0 || less(1):
		o.d[1], o.label[1] = d, label
	default:
		return false
	}
	return true
}

// front is where a label has come to.
type front struct {
	d     float64
	v     mesh.VertexID
	label int16
}

// before is the order in which fronts settle.
func (a front) before(b front) bool {
	if a.d != b.d {
		return a.d < b.d
	}
	if a.v != b.v {
		return a.v < b.v
	}
	return a.label < b.label
}

func (a front) compare(b front) int {
	switch {
	case a.before(b):
		return -1
	case b.before(a):
		return 1
	}
	return 0
}

// fronts is a heap of four children a node: half as deep as one of two, and the four
// lie side by side.
type fronts []front

func (q *fronts) push(x front) {
	h := append(*q, x)
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 4
		if !x.before(h[up]) {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = x
	*q = h
}

func (q *fronts) pop() front {
	h := *q
	top, last := h[0], len(h)-1
	x := h[last]
	h = h[:last]
	*q = h
	for i := 0; ; {
		first := 4*i + 1
		if first >= last {
			if last > 0 {
				h[i] = x
			}
			return top
		}
		best := first
		for c := first + 1; c < min(first+4, last); c++ {
			if h[c].before(h[best]) {
				best = c
			}
		}
		if !h[best].before(x) {
			h[i] = x
			return top
		}
		h[i] = h[best]
		i = best
	}
}
