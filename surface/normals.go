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
//
// The angles of a face share one sine, twice its area, and the third is what the other
// two leave of half a turn: two arc tangents and one cross product a face, not three and
// four.
func VertexNormals(m *mesh.Mesh) []r3.Vec {
	n := make([]r3.Vec, len(m.Pos))
	for _, t := range m.Tri {
		a, b, c := m.Pos[t[0]], m.Pos[t[1]], m.Pos[t[2]]
		ab, ac := b.Sub(a), c.Sub(a)
		cross := ab.Cross(ac)
		l := cross.Norm()
		u, ok := cross.Unit()
		if !ok {
			continue
		}
		at, bt := angleOf(l, ab.Dot(ac)), angleOf(l, ab.Dot(b.Sub(c)))
		for i, w := range [3]float64{at, bt, max(math.Pi-at-bt, 0)} {
			v := &n[t[i]]
			*v = v.AddScaled(w, u)
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
// a median edge. 0 for a mesh without faces. Cost: O(F) expected.
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
