package mesh

import (
	"cmp"
	"slices"
)

// Topology tells which triangles of a mesh meet where.
//
//	     c
//	    ╱ ╲          half-edge h = 3f   leads from corner a to b of face f,
//	  ╱  f  ╲        Next(h)            from b to c,
//	a ───h──▶ b      Prev(h)            from c to a,
//	  ◀─Pair[h]      Pair[h]            from b to a in the face below
//	     ⋮
//
// Two half-edges are a pair if they join the same two vertices in opposite
// directions and no third one does. All others have no pair: the open edges of
// a scan, and the odd ones, where three or more faces meet or two neighbours are
// wound against each other. So the paired part is always a set of oriented
// manifold pieces, whatever the file held, and walks around a vertex or along a
// boundary end.
type Topology struct {
	Mesh *Mesh

	// Pair has the opposite half-edge of each half-edge, or None.
	Pair []HalfedgeID

	// Out has one half-edge that leaves each vertex: one without a pair where the
	// vertex has any (turning counter-clockwise from it sees the whole fan),
	// else the lowest.
	Out []HalfedgeID

	// Odd lists, in rising order, the half-edges that have no pair for another
	// reason than that the surface ends there.
	Odd []HalfedgeID

	Boundary     int // edges of exactly one face
	NonManifold  int // edges of three or more faces
	Inconsistent int // edges of two faces that are wound against each other
	BowTies      int // vertices at which more than one fan of faces meets

	fans []fan // the further fans of the vertices that have several
}

// fan is a further fan of faces at a vertex, by its first half-edge.
type fan struct {
	vertex VertexID
	out    HalfedgeID
}

// NewTopology finds the pairs of the half-edges of m.
//
// Cost: O(faces) for the bounded valences of a scan; about 30 bytes per face.
// Deterministic.
func NewTopology(m *Mesh) *Topology {
	t := &Topology{Mesh: m, Pair: make([]HalfedgeID, 3*len(m.Tri))}
	t.pairUp()
	t.findFans()
	return t
}

// Next returns the half-edge that follows h around its face.
func Next(h HalfedgeID) HalfedgeID {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

// Prev returns the half-edge before h around its face.
func Prev(h HalfedgeID) HalfedgeID {
	if h%3 == 0 {
		return h + 2
	}
	return h - 1
}

// Face returns the face that h runs around.
func (h HalfedgeID) Face() FaceID { return FaceID(h / 3) }

// Halfedge returns the half-edge that leads from corner i (0, 1 or 2) of f to
// the next corner.
func (f FaceID) Halfedge(i int) HalfedgeID { return HalfedgeID(3*int32(f) + int32(i)) }

// From returns the vertex that h leaves.
func (m *Mesh) From(h HalfedgeID) VertexID { return m.Tri[h/3][h%3] }

// To returns the vertex that h leads to.
func (m *Mesh) To(h HalfedgeID) VertexID { return m.From(Next(h)) }

// Open reports whether the surface ends at h: it has no pair, and not because
// of a defect.
func (t *Topology) Open(h HalfedgeID) bool {
	if t.Pair[h] != None {
		return false
	}
	_, odd := slices.BinarySearch(t.Odd, h)
	return !odd
}

// Edges returns the number of different edges, that is pairs of vertices that
// some face joins.
func (t *Topology) Edges() int {
	paired := len(t.Pair) - t.Boundary - len(t.Odd)
	return paired/2 + t.Boundary + t.NonManifold + t.Inconsistent
}

// Euler returns vertices - edges + faces: 2 for a closed ball, 1 for a disc, 0
// for a torus or a ring, the sum over the pieces.
func (t *Topology) Euler() int { return len(t.Mesh.Pos) - t.Edges() + len(t.Mesh.Tri) }

// findFans chooses Out and finds the vertices that have more than one fan.
func (t *Topology) findFans() {
	m := t.Mesh
	t.Out = make([]HalfedgeID, len(m.Pos))
	for v := range t.Out {
		t.Out[v] = None
	}
	// Backwards, so that the lowest stays; those without a pair last, so that they win.
	for f := len(m.Tri) - 1; f >= 0; f-- {
		c, h := m.Tri[f], HalfedgeID(3*f)
		t.Out[c[2]], t.Out[c[1]], t.Out[c[0]] = h+2, h+1, h
	}
	for h := HalfedgeID(len(t.Pair)) - 1; h >= 0; h-- {
		if t.Pair[h] == None {
			t.Out[m.From(h)] = h
		}
	}
	faces := 0
	for _, h := range t.Out {
		if h != None {
			faces += t.fanSize(h)
		}
	}
	if faces < len(t.Pair) {
		t.findTied()
	}
}

// fanSize returns the number of faces of the fan that starts with h.
func (t *Topology) fanSize(h HalfedgeID) int {
	n := 0
	for o := h; ; {
		n++
		if o = t.Pair[Prev(o)]; o == None || o == h {
			return n
		}
	}
}

// findTied finds the vertices with faces beyond those of the fan of Out.
func (t *Topology) findTied() {
	faces := make([]int32, len(t.Out)) // at each vertex
	for _, c := range t.Mesh.Tri {
		faces[c[0]]++
		faces[c[1]]++
		faces[c[2]]++
	}
	var tied []VertexID
	for v, h := range t.Out {
		if h != None && t.fanSize(h) < int(faces[v]) {
			tied = append(tied, VertexID(v))
		}
	}
	t.BowTies = len(tied)
	t.furtherFans(tied)
}

// furtherFans lists the fans of the tied vertices that Out does not lead to, by
// vertex and then by first half-edge.
func (t *Topology) furtherFans(tied []VertexID) {
	isTied := make([]bool, len(t.Out))
	seen := make([]bool, len(t.Pair)) // half-edges that leave a tied vertex
	mark := func(h HalfedgeID) {
		for o := range t.fanFrom(h) {
			seen[o] = true
		}
	}
	for _, v := range tied {
		isTied[v] = true
		mark(t.Out[v])
	}
	// Fans that have ends first, from their first end; what is left then is closed.
	for _, wantEnd := range [...]bool{true, false} {
		for h := range HalfedgeID(len(t.Pair)) {
			v := t.Mesh.From(h)
			if !isTied[v] || seen[h] || (wantEnd && t.Pair[h] != None) {
				continue
			}
			t.fans = append(t.fans, fan{v, h})
			mark(h)
		}
	}
	slices.SortFunc(t.fans, func(a, b fan) int {
		return cmp.Or(cmp.Compare(a.vertex, b.vertex), cmp.Compare(a.out, b.out))
	})
}
