package packed

import "selvage/mesh"

// course is the order in which triangles and vertices are sent.
type course struct {
	tri   [][3]int32 // in the new numbering, in the order of sending
	step  []byte     // how each triangle follows from the one before, see follows
	first []int32    // the old number of each new vertex
}

// A step says how a triangle (a, b, x) follows from the one before, p: it lies on the
// other side of the edge from p[e] to p[e+1], so that a = p[e+1] and b = p[e], and x
// is a new vertex (step e) or one that was met (step metX + e); or all three corners
// are told (step apart).
const (
	metX  = 3
	apart = 6
)

// walk orders the triangles so that each mostly shares an edge with the one
// before, and numbers the vertices as they are met. Triangles are taken in fans:
// all that are left around one vertex, each beside the last, then on to a vertex
// that was met a moment ago. So a graphics card finds the corners in its cache,
// and indices and coordinates change little from one triangle to the next.
//
// Cost: O(faces). Deterministic.
func walk(m *mesh.Mesh) course {
	w := newWalker(m)
	c := course{tri: make([][3]int32, 0, len(m.Tri)), step: make([]byte, 0, len(m.Tri)), first: make([]int32, 0, len(m.Pos))}
	number := make([]int32, len(m.Pos))
	for i := range number {
		number[i] = -1
	}
	for f := w.next(); f >= 0; f = w.next() {
		c.add(m.Tri[f], number)
	}
	return c
}

// add appends a triangle and numbers its new vertices. It is turned, with its winding
// kept, so that the edge it shares with the one before comes first; where there is
// none, so that new vertices come last.
func (c *course) add(t [3]mesh.VertexID, number []int32) {
	t, step := c.turned(t, number)
	var out [3]int32
	for i, v := range t {
		if number[v] < 0 {
			number[v] = int32(len(c.first))
			c.first = append(c.first, int32(v))
		} else if i == 2 && step < metX {
			step += metX
		}
		out[i] = number[v]
	}
	c.tri = append(c.tri, out)
	c.step = append(c.step, step)
}

// turned finds the rotation of a triangle, and the edge of the one before on which it
// lies or apart.
func (c *course) turned(t [3]mesh.VertexID, number []int32) ([3]mesh.VertexID, byte) {
	if n := len(c.tri); n > 0 {
		p := c.tri[n-1]
		for r := range t {
			a, b := number[t[r]], number[t[(r+1)%3]]
			for e := range p {
				if a == p[(e+1)%3] && b == p[e] {
					return [3]mesh.VertexID{t[r], t[(r+1)%3], t[(r+2)%3]}, byte(e)
				}
			}
		}
	}
	fresh := [3]bool{number[t[0]] < 0, number[t[1]] < 0, number[t[2]] < 0}
	switch {
	case fresh[0] && !fresh[1] && !fresh[2]:
		t = [3]mesh.VertexID{t[1], t[2], t[0]}
	case (fresh[0] || fresh[1]) && !fresh[2]:
		t = [3]mesh.VertexID{t[2], t[0], t[1]}
	}
	return t, apart
}

// walker hands out the triangles of a mesh one by one.
type walker struct {
	tri   [][3]mesh.VertexID
	start []int32 // of each vertex in around
	live  []int32 // how many triangles of each vertex are left
	round []int32 // triangles by vertex; those left come first
	pivot int32   // the vertex whose fan is being taken; -1: none
	last  [3]mesh.VertexID
	met   []int32 // corners of the triangles taken so far, the newest last
	scan  int32   // vertices below this one have no triangle left
}

// metKept bounds the stack of met vertices; older ones are found by the scan.
const metKept = 1 << 12

func newWalker(m *mesh.Mesh) *walker {
	w := &walker{
		tri: m.Tri, start: make([]int32, len(m.Pos)+1), live: make([]int32, len(m.Pos)),
		round: make([]int32, 3*len(m.Tri)), pivot: -1, met: make([]int32, 0, 2*metKept+3),
	}
	for _, t := range m.Tri {
		w.start[t[0]+1]++
		w.start[t[1]+1]++
		w.start[t[2]+1]++
	}
	for v := range w.live {
		w.start[v+1] += w.start[v]
	}
	for f, t := range m.Tri {
		for _, v := range t {
			w.round[w.start[v]+w.live[v]] = int32(f)
			w.live[v]++
		}
	}
	return w
}

// next returns the next triangle, or -1 after the last.
func (w *walker) next() int32 {
	if w.pivot < 0 || w.live[w.pivot] == 0 {
		if w.pivot = w.findPivot(); w.pivot < 0 {
			return -1
		}
	}
	p := w.pivot
	left := w.round[w.start[p] : w.start[p]+w.live[p]]
	f := left[0]
	for _, g := range left {
		if w.beside(g) {
			f = g
			break
		}
	}
	w.take(f)
	return f
}

// beside reports whether a triangle at the pivot shares an edge with the last one.
func (w *walker) beside(f int32) bool {
	shared := 0
	for _, v := range w.tri[f] {
		if v == w.last[0] || v == w.last[1] || v == w.last[2] {
			shared++
		}
	}
	return shared >= 2
}

// take removes a triangle from the lists of its corners.
func (w *walker) take(f int32) {
	t := w.tri[f]
	for _, v := range t { // a corner named twice is listed twice, and taken twice
		n := w.live[v]
		list := w.round[w.start[v] : w.start[v]+n]
		for k, g := range list {
			if g == f {
				list[k] = list[n-1]
				w.live[v]--
				break
			}
		}
		if int32(v) != w.pivot {
			w.met = append(w.met, int32(v))
		}
	}
	w.last = t
	if len(w.met) >= 2*metKept {
		w.met = append(w.met[:0], w.met[metKept:]...)
	}
}

// findPivot returns the vertex met last that still has triangles, else the next in
// the old numbering, else -1.
func (w *walker) findPivot() int32 {
	for n := len(w.met); n > 0; n-- {
		v := w.met[n-1]
		if w.live[v] > 0 {
			w.met = w.met[:n]
			return v
		}
	}
	w.met = w.met[:0]
	for ; int(w.scan) < len(w.live); w.scan++ {
		if w.live[w.scan] > 0 {
			return w.scan
		}
	}
	return -1
}
