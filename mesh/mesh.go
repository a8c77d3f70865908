// Package mesh holds the triangle mesh of a scan as index arrays, and what can
// be told from its connections alone: welding, half-edges, components, boundary
// loops and defects.
//
// Lengths are millimetres once a scan's unit has been settled. Triangles wind
// counter-clockwise seen from outside. A Mesh is a value that nobody alters once
// it is built; an operation that changes one returns a new one.
package mesh

import "selvage/r3"

// VertexID, FaceID and HalfedgeID number the elements of one mesh from zero;
// None marks the absence of one. Half-edge 3f+i leads from corner i of face f to
// corner i+1 (mod 3).
type (
	VertexID   int32
	FaceID     int32
	HalfedgeID int32
)

// None is the id of no element.
const None = -1

// RGB is a surface colour in sRGB, 0 to 255.
type RGB [3]uint8

// Soup is what a decoder hands over: points, and triangles as indices into
// them. Where Tri is nil every three consecutive points are a triangle. Color is
// nil or has one entry per point. Nothing is welded or checked beyond what the
// format itself promises (indices in range, numbers finite).
type Soup struct {
	Pos   []r3.Vec
	Tri   [][3]int32
	Color []RGB
}

// Mesh is a welded, indexed triangle mesh.
type Mesh struct {
	Pos   []r3.Vec
	Tri   [][3]VertexID
	Color []RGB // nil, or one per vertex
}

// Corners returns the three corner points of a face.
func (m *Mesh) Corners(f FaceID) (a, b, c r3.Vec) {
	t := m.Tri[f]
	return m.Pos[t[0]], m.Pos[t[1]], m.Pos[t[2]]
}

// AreaVector returns half the cross product of two edges: the outward normal
// times the area of the face.
func (m *Mesh) AreaVector(f FaceID) r3.Vec {
	a, b, c := m.Corners(f)
	return b.Sub(a).Cross(c.Sub(a)).Scale(0.5)
}

// Centroid returns the mean of the corners of a face.
func (m *Mesh) Centroid(f FaceID) r3.Vec {
	a, b, c := m.Corners(f)
	return a.Add(b).Add(c).Scale(1.0 / 3)
}

// Box returns the bounding box of the vertices.
func (m *Mesh) Box() r3.Box { return r3.BoxOf(m.Pos...) }

// Moved returns the mesh moved by g, sharing triangles and colours with m.
func (m *Mesh) Moved(g r3.Rigid) *Mesh {
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		pos[i] = g.Point(p)
	}
	return &Mesh{Pos: pos, Tri: m.Tri, Color: m.Color}
}

// Scaled returns the mesh with every coordinate multiplied by s > 0, sharing
// triangles and colours with m.
func (m *Mesh) Scaled(s float64) *Mesh {
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		pos[i] = p.Scale(s)
	}
	return &Mesh{Pos: pos, Tri: m.Tri, Color: m.Color}
}

// Flipped returns the mesh with the winding of every triangle reversed.
func (m *Mesh) Flipped() *Mesh {
	tri := make([][3]VertexID, len(m.Tri))
	for i, t := range m.Tri {
		tri[i] = [3]VertexID{t[0], t[2], t[1]}
	}
	return &Mesh{Pos: m.Pos, Tri: tri, Color: m.Color}
}
