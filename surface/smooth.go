package surface

import (
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// SmoothNormals returns the vertex normals, each averaged several times with those of
// the vertices that a face joins it to: rounds of about one spacing each. A field of
// directions for finding and comparing surfaces in noise; edges sharper than rounds
// spacings are rounded off. Cost: O(rounds·F).
func SmoothNormals(m *mesh.Mesh, rounds int) []r3.Vec {
	return smooth(m, VertexNormals(m), rounds)
}

// SmoothNormalsOf is [SmoothNormals] from vertex normals that are known, as from
// [VertexNormals], and stay as they are; nil: made here.
func SmoothNormalsOf(m *mesh.Mesh, normals []r3.Vec, rounds int) []r3.Vec {
	if normals == nil {
		return SmoothNormals(m, rounds)
	}
	return smooth(m, slices.Clone(normals), rounds)
}

// smooth averages the normals n in their place.
func smooth(m *mesh.Mesh, n []r3.Vec, rounds int) []r3.Vec {
	sum := make([]r3.Vec, len(n))
	for range rounds {
		clear(sum)
		for _, t := range m.Tri {
			all := n[t[0]].Add(n[t[1]]).Add(n[t[2]])
			for _, v := range t {
				sum[v] = sum[v].Add(all)
			}
		}
		for v := range n {
			n[v] = sum[v].UnitOr(n[v])
		}
	}
	return n
}
