package mesh

import (
	"math"

	"selvage/r3"
)

// Repair counts what [Build] had to do to a soup, so that a report can say so.
// All counts are zero for a clean indexed mesh; Welded is large for every
// format that repeats its corners (STL).
type Repair struct {
	Points int // points in the soup
	Faces  int // triangles in the soup

	Welded       int // points joined with an equal one before them
	NotFinite    int // triangles dropped: a corner is not a finite number
	Degenerate   int // triangles dropped: two of their corners are the same point
	Duplicate    int // triangles dropped: an earlier one has the same corners and winding
	Opposed      int // triangles dropped: an earlier one has the same corners, wound the other way
	Unreferenced int // points dropped: no remaining triangle uses them

	// Flat counts triangles that were kept although their three different corners
	// lie on one line. Taking one out would open a crack without width, which the
	// search for holes would then report.
	Flat int
}

// Dropped returns the number of triangles that Build left out.
func (r Repair) Dropped() int { return r.NotFinite + r.Degenerate + r.Duplicate + r.Opposed }

// Build welds a soup into a mesh.
//
// Points are joined where their coordinates are equal bit for bit (-0 equals
// +0): a scan's exporter repeats a shared corner exactly, and a tolerance would
// close real gaps. Then triangles with two equal corners, triangles with a
// corner that is not finite, and repeated triangles are dropped, and last the
// points that nobody uses. Vertices keep the order of first appearance, faces
// their order in the soup; of points that were joined the first one's colour is
// kept.
//
// A soup without triangles gives an empty mesh. Build panics if an index is out
// of range, if Color is neither nil nor as long as Pos, or if Tri is nil and the
// number of points is no multiple of three: decoders guarantee all this.
//
// Cost: O(points + triangles) expected, one pass over the points; about 1.5
// times the result in extra memory. Deterministic.
func Build(s Soup) (*Mesh, Repair) {
	if s.Color != nil && len(s.Color) != len(s.Pos) {
		panic("mesh: soup has neither no colours nor one per point")
	}
	rep := Repair{Points: len(s.Pos), Faces: len(s.Tri)}
	var m *Mesh
	var w *welder
	if s.Tri == nil {
		if len(s.Pos)%3 != 0 {
			panic("mesh: points of an unindexed soup are no multiple of three")
		}
		rep.Faces = len(s.Pos) / 3
		m, w = weldCorners(s)
	} else {
		m, w = weldIndexed(s)
	}
	rep.Welded = len(s.Pos) - len(m.Pos)
	if w.wild || m.anyBad(&rep) {
		rep.Flat = 0
		m.dropBad(&rep)
	}
	if m.anyRepeated() {
		m.dropRepeated(&rep)
	}
	if s.Tri != nil || rep.Dropped() > 0 {
		m.dropUnused(&rep)
	}
	return m, rep
}

// weldCorners welds a soup in which every three points are a triangle. A closed
// surface has about half as many vertices as triangles, hence the guess.
func weldCorners(s Soup) (*Mesh, *welder) {
	n := len(s.Pos) / 3
	w := newWelder(n/2 + n/16 + 3)
	tri := make([][3]VertexID, n)
	var color []RGB
	var ids [3 * facesAtOnce]VertexID
	for from := 0; from < n; from += facesAtOnce {
		to := min(from+facesAtOnce, n)
		w.ids(ids[:3*(to-from)], s.Pos[3*from:3*to])
		for f := range tri[from:to] {
			tri[from+f] = [3]VertexID(ids[3*f : 3*f+3])
		}
		if s.Color != nil {
			color = appendColors(color, ids[:3*(to-from)], s.Color[3*from:])
		}
	}
	return &Mesh{Pos: w.pos, Tri: tri, Color: color}, w
}

// facesAtOnce is how many faces are welded together.
const facesAtOnce = 256

// appendColors appends the colours of the points that are new, whose numbers follow the
// last one.
func appendColors(dst []RGB, ids []VertexID, color []RGB) []RGB {
	for i, v := range ids {
		if int(v) == len(dst) {
			dst = append(dst, color[i])
		}
	}
	return dst
}

// weldIndexed welds the points of an indexed soup and renames its corners.
func weldIndexed(s Soup) (*Mesh, *welder) {
	w := newWelder(len(s.Pos))
	to := make([]VertexID, len(s.Pos))
	var color []RGB
	if s.Color != nil {
		color = make([]RGB, 0, len(s.Color))
	}
	w.ids(to, s.Pos)
	if s.Color != nil {
		color = appendColors(color, to, s.Color)
	}
	tri := make([][3]VertexID, len(s.Tri))
	for f, t := range s.Tri {
		tri[f] = [3]VertexID{to[t[0]], to[t[1]], to[t[2]]}
	}
	return &Mesh{Pos: w.pos, Tri: tri, Color: color}, w
}

// anyBad reports whether a triangle has two equal corners, and counts the flat ones.
func (m *Mesh) anyBad(rep *Repair) bool {
	for _, t := range m.Tri {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			return true
		}
		a, b, c := m.Pos[t[0]], m.Pos[t[1]], m.Pos[t[2]]
		if b.Sub(a).Cross(c.Sub(a)) == (r3.Vec{}) {
			rep.Flat++
		}
	}
	return false
}

// dropBad takes out triangles with a corner that is not finite or with two
// equal corners, in place, and counts the flat ones that stay.
func (m *Mesh) dropBad(rep *Repair) {
	kept := m.Tri[:0]
	for _, t := range m.Tri {
		a, b, c := m.Pos[t[0]], m.Pos[t[1]], m.Pos[t[2]]
		n := b.Sub(a).Cross(c.Sub(a))
		switch {
		case !(n.Norm2() <= math.MaxFloat64) && !(a.Finite() && b.Finite() && c.Finite()):
			rep.NotFinite++
			continue
		case t[0] == t[1] || t[1] == t[2] || t[2] == t[0]:
			rep.Degenerate++
			continue
		case n == (r3.Vec{}):
			rep.Flat++
		}
		kept = append(kept, t)
	}
	m.Tri = kept
}

// dropUnused takes out the points that no triangle uses, keeping the order of
// the others.
func (m *Mesh) dropUnused(rep *Repair) {
	used := make([]bool, len(m.Pos))
	n := 0
	for _, t := range m.Tri {
		for _, v := range t {
			if !used[v] {
				used[v] = true
				n++
			}
		}
	}
	rep.Unreferenced = len(m.Pos) - n
	if rep.Unreferenced == 0 {
		return
	}
	to := make([]VertexID, len(m.Pos))
	n = 0
	for v, u := range used {
		if !u {
			continue
		}
		to[v] = VertexID(n)
		m.Pos[n] = m.Pos[v]
		if m.Color != nil {
			m.Color[n] = m.Color[v]
		}
		n++
	}
	m.Pos = m.Pos[:n]
	if m.Color != nil {
		m.Color = m.Color[:n]
	}
	for f, t := range m.Tri {
		m.Tri[f] = [3]VertexID{to[t[0]], to[t[1]], to[t[2]]}
	}
}
