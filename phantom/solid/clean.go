package solid

import (
	"selvage/mesh"
	"selvage/r3"
)

// Clean returns m without the faces that stand on an edge used by more than two
// faces or twice in one direction, without vertices that no face uses, and with
// every vertex where several fans of faces meet divided, one copy per fan. What
// is returned is an oriented manifold with boundary. The order of faces and
// vertices is kept.
func Clean(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Pos: m.Pos, Color: m.Color, Tri: dropCrowdedEdges(m)}
	return compact(splitFans(out))
}

// Keep returns the faces of m for which keep is true, cleaned.
func Keep(m *mesh.Mesh, keep []bool) *mesh.Mesh {
	var tri [][3]mesh.VertexID
	for f, t := range m.Tri {
		if keep[f] {
			tri = append(tri, t)
		}
	}
	return compact(splitFans(&mesh.Mesh{Pos: m.Pos, Color: m.Color, Tri: tri}))
}

// dropCrowdedEdges removes all faces at a directed edge that occurs twice.
func dropCrowdedEdges(m *mesh.Mesh) [][3]mesh.VertexID {
	first, list := facesAt(m)
	bad := make([]bool, len(m.Tri))
	found := false
	var to []mesh.VertexID
	for v := range m.Pos {
		faces := list[first[v]:first[v+1]]
		to = to[:0]
		for i, f := range faces {
			next := after(m.Tri[f], mesh.VertexID(v))
			for j, seen := range to {
				if seen == next {
					bad[f], bad[faces[j]], found = true, true, true
				}
			}
			to = append(to[:i], next)
		}
	}
	if !found {
		return m.Tri
	}
	kept := make([][3]mesh.VertexID, 0, len(m.Tri))
	for f, t := range m.Tri {
		if !bad[f] {
			kept = append(kept, t)
		}
	}
	return kept
}

// after returns the corner that follows v in t.
func after(t [3]mesh.VertexID, v mesh.VertexID) mesh.VertexID {
	switch v {
	case t[0]:
		return t[1]
	case t[1]:
		return t[2]
	default:
		return t[0]
	}
}

// splitFans gives each fan of faces around a vertex its own copy of the vertex.
func splitFans(m *mesh.Mesh) *mesh.Mesh {
	first, list := facesAt(m)
	tri := append([][3]mesh.VertexID(nil), m.Tri...)
	pos := append([]r3.Vec(nil), m.Pos...)
	var color []mesh.RGB
	if m.Color != nil {
		color = append(color, m.Color...)
	}
	var fan []int
	for v := range m.Pos {
		faces := list[first[v]:first[v+1]]
		var num int
		fan, num = fans(fan, m.Tri, faces, mesh.VertexID(v))
		if num < 2 {
			continue
		}
		for i, f := range faces {
			if fan[i] == 0 {
				continue
			}
			for c := range 3 {
				if tri[f][c] == mesh.VertexID(v) {
					tri[f][c] = mesh.VertexID(len(pos) + fan[i] - 1)
				}
			}
		}
		for range num - 1 {
			pos = append(pos, m.Pos[v])
			if m.Color != nil {
				color = append(color, m.Color[v])
			}
		}
	}
	return &mesh.Mesh{Pos: pos, Tri: tri, Color: color}
}

// fans numbers the faces around v by the fan they belong to, walking from face to
// face across the edges at v, and counts the fans.
func fans(dst []int, tri [][3]mesh.VertexID, faces []int32, v mesh.VertexID) ([]int, int) {
	dst = dst[:0]
	for range faces {
		dst = append(dst, -1)
	}
	num := 0
	for i := range faces {
		if dst[i] >= 0 {
			continue
		}
		dst[i] = num
		for _, forward := range [2]bool{true, false} {
			at := i
			for {
				next := across(tri, faces, dst, at, v, forward)
				if next < 0 {
					break
				}
				dst[next] = num
				at = next
			}
		}
		num++
	}
	return dst, num
}

// across returns the face not yet numbered that shares with face at the edge at v
// that comes after it, or before it; -1 if there is none.
func across(tri [][3]mesh.VertexID, faces []int32, dst []int, at int, v mesh.VertexID, forward bool) int {
	next := after(tri[faces[at]], v)
	last := after(tri[faces[at]], next)
	for k, f := range faces {
		if dst[k] >= 0 {
			continue
		}
		n := after(tri[f], v)
		if forward && n == last || !forward && after(tri[f], n) == next {
			return k
		}
	}
	return -1
}

// facesAt lists the faces at each vertex: those of v are list[first[v]:first[v+1]].
func facesAt(m *mesh.Mesh) (first, list []int32) {
	first = make([]int32, len(m.Pos)+1)
	for _, t := range m.Tri {
		for _, v := range t {
			first[v+1]++
		}
	}
	for v := range m.Pos {
		first[v+1] += first[v]
	}
	list = make([]int32, 3*len(m.Tri))
	next := append([]int32(nil), first...)
	for f, t := range m.Tri {
		for _, v := range t {
			list[next[v]] = int32(f)
			next[v]++
		}
	}
	return first, list
}

// compact drops the vertices that no face uses.
func compact(m *mesh.Mesh) *mesh.Mesh {
	id := make([]mesh.VertexID, len(m.Pos))
	for _, t := range m.Tri {
		for _, v := range t {
			id[v] = 1
		}
	}
	out := &mesh.Mesh{Tri: make([][3]mesh.VertexID, len(m.Tri))}
	for v, used := range id {
		if used == 0 {
			continue
		}
		id[v] = mesh.VertexID(len(out.Pos))
		out.Pos = append(out.Pos, m.Pos[v])
		if m.Color != nil {
			out.Color = append(out.Color, m.Color[v])
		}
	}
	for f, t := range m.Tri {
		out.Tri[f] = [3]mesh.VertexID{id[t[0]], id[t[1]], id[t[2]]}
	}
	return out
}
