package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// FaceNormals returns the unit normal of every face; zero for a face without area.
// Cost: O(F).
func FaceNormals(m *mesh.Mesh) []r3.Vec {
	n := make([]r3.Vec, len(m.Tri))
	for f := range m.Tri {
		n[f], _ = m.AreaVector(mesh.FaceID(f)).Unit()
	}
	return n
}

// VertexNormals returns the unit normal of every vertex: the sum of its faces'
// normals, each weighted by the face's angle at the vertex, which does not depend on
// how the surface happens to be cut into triangles [ThurmerWuthrich1998]. Zero for a
// vertex without faces or whose normals cancel. Cost: O(V + F).
func VertexNormals(m *mesh.Mesh) []r3.Vec {
	n := make([]r3.Vec, len(m.Pos))
	for f, t := range m.Tri {
		u, ok := m.AreaVector(mesh.FaceID(f)).Unit()
		if !ok {
			continue
		}
		for i, v := range t {
			p := m.Pos[v]
			w := m.Pos[t[(i+1)%3]].Sub(p).Angle(m.Pos[t[(i+2)%3]].Sub(p))
			n[v] = n[v].AddScaled(w, u)
		}
	}
	for v := range n {
		n[v], _ = n[v].Unit()
	}
	return n
}

// Spacing returns the typical distance between neighbouring points of the scan in
// mm: the median over faces of the root of 4A/√3, the edge of the equilateral
// triangle of the same area A. Slivers, which are many in scans, shift it less than
// a median edge. 0 for a mesh without faces. Cost: O(F log F).
func Spacing(m *mesh.Mesh) float64 {
	if len(m.Tri) == 0 {
		return 0
	}
	s := make([]float64, len(m.Tri))
	for f := range m.Tri {
		s[f] = math.Sqrt(m.AreaVector(mesh.FaceID(f)).Norm() * (4 / math.Sqrt(3)))
	}
	return num.Median(s)
}
