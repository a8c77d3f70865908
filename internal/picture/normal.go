package picture

import (
	"selvage/mesh"
	"selvage/r3"
)

type vertexID = mesh.VertexID

// smoothNormals returns area-weighted vertex normals, evened once over the
// triangles around each vertex. At 10 µm noise and 0.1 mm edges a raw normal
// wavers by about 3°, which shading shows as orange peel that hides a finish
// line; one round of evening halves it and moves an edge by less than an edge
// length. For drawing only: nothing is measured on them. A vertex without a
// face gets the zero vector.
func smoothNormals(m *mesh.Mesh) []r3.Vec {
	n := make([]r3.Vec, len(m.Pos))
	for f, t := range m.Tri {
		v := m.AreaVector(mesh.FaceID(f))
		for _, c := range t {
			n[c] = n[c].Add(v)
		}
	}
	unitAll(n)
	even := make([]r3.Vec, len(n))
	for _, t := range m.Tri {
		s := n[t[0]].Add(n[t[1]]).Add(n[t[2]])
		for _, c := range t {
			even[c] = even[c].Add(s)
		}
	}
	unitAll(even)
	return even
}

func unitAll(n []r3.Vec) {
	inBands(len(n), 1<<14, func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			n[i] = n[i].UnitOr(r3.Vec{})
		}
	})
}
