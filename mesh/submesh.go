package mesh

import "selvage/r3"

// Submesh returns the mesh of the faces that keep accepts, with the vertices
// they use, and for each of its vertices and faces the id it had in m. Both keep
// their order. Cost: O(vertices + faces).
func Submesh(m *Mesh, keep func(FaceID) bool) (sub *Mesh, vertexOf []VertexID, faceOf []FaceID) {
	used := make([]bool, len(m.Pos))
	for f := range FaceID(len(m.Tri)) {
		if !keep(f) {
			continue
		}
		faceOf = append(faceOf, f)
		for _, v := range m.Tri[f] {
			used[v] = true
		}
	}
	to := make([]VertexID, len(m.Pos))
	for v := range VertexID(len(m.Pos)) {
		if used[v] {
			to[v] = VertexID(len(vertexOf))
			vertexOf = append(vertexOf, v)
		}
	}
	sub = &Mesh{Pos: make([]r3.Vec, len(vertexOf)), Tri: make([][3]VertexID, len(faceOf))}
	if m.Color != nil {
		sub.Color = make([]RGB, len(vertexOf))
	}
	for i, v := range vertexOf {
		sub.Pos[i] = m.Pos[v]
		if m.Color != nil {
			sub.Color[i] = m.Color[v]
		}
	}
	for i, f := range faceOf {
		t := m.Tri[f]
		sub.Tri[i] = [3]VertexID{to[t[0]], to[t[1]], to[t[2]]}
	}
	return sub, vertexOf, faceOf
}
