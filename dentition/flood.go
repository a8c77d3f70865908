package dentition

import (
	"container/heap"
	"math"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// flood lets fronts run over a mesh and keeps, for each vertex, the nearest and the
// nearest other one.
type flood struct {
	m     *mesh.Mesh
	first []int32 // of each vertex in edges
	edges []arc
	dist  [2][]float64
	label [2][]int16 // -1 where no front has come
	queue fronts
}

// arc is an edge from a vertex and what it costs.
type arc struct {
	to   mesh.VertexID
	cost float32
}

func newFlood(m *mesh.Mesh) *flood {
	n := len(m.Pos)
	f := &flood{m: m, first: make([]int32, n+1)}
	for _, t := range m.Tri {
		for _, v := range t {
			f.first[v+1] += 2
		}
	}
	for v := range n {
		f.first[v+1] += f.first[v]
	}
	normal := normalsOver(m, normalReach)
	f.edges = make([]arc, f.first[n])
	fill := append([]int32(nil), f.first[:n]...)
	for _, t := range m.Tri {
		for i, v := range t {
			for _, w := range [2]mesh.VertexID{t[(i+1)%3], t[(i+2)%3]} {
				f.edges[fill[v]] = arc{w, float32(pathOver(m.Pos[v], m.Pos[w], normal[v], normal[w]))}
				fill[v]++
			}
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

// normalsOver returns vertex normals averaged over about the given distance: each
// round over the neighbours widens by the spacing, in quadrature.
func normalsOver(m *mesh.Mesh, reach float64) []r3.Vec {
	const most = 12 // rounds: a spacing of 0.1 mm; finer ones are noisier, too
	s := m.MedianEdge()
	if s == 0 {
		return surface.VertexNormals(m)
	}
	return surface.SmoothNormals(m, int(max(0, min(most, math.Round(reach*reach/(s*s))-1))))
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
	f.queue = append(f.queue, front{0, v, label})
}

// run settles every vertex at most twice, with different labels. Ties go to the
// lower vertex, then to the lower label.
func (f *flood) run() {
	heap.Init(&f.queue)
	for len(f.queue) > 0 {
		x := heap.Pop(&f.queue).(front)
		k := 0
		if f.label[0][x.v] >= 0 {
			k = 1
		}
		if f.label[0][x.v] == x.label || f.label[k][x.v] >= 0 {
			continue
		}
		f.dist[k][x.v], f.label[k][x.v] = x.d, x.label
		for _, e := range f.edges[f.first[x.v]:f.first[x.v+1]] {
			if f.label[0][e.to] != x.label && f.label[1][e.to] < 0 {
				heap.Push(&f.queue, front{x.d + float64(e.cost), e.to, x.label})
			}
		}
	}
}

// front is where a label has come to.
type front struct {
	d     float64
	v     mesh.VertexID
	label int16
}

type fronts []front

func (q fronts) Len() int { return len(q) }
func (q fronts) Less(i, j int) bool {
	a, b := q[i], q[j]
	if a.d != b.d {
		return a.d < b.d
	}
	if a.v != b.v {
		return a.v < b.v
	}
	return a.label < b.label
}
func (q fronts) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *fronts) Push(x any)   { *q = append(*q, x.(front)) }
func (q *fronts) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
