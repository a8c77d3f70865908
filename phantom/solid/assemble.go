package solid

import (
	"selvage/mesh"
	"selvage/r3"
)

// assemble numbers the vertices block by block and spans the quadrilaterals.
func (g *gridder) assemble() *mesh.Mesh {
	total := int32(0)
	for _, b := range g.blocks {
		if b != nil {
			b.first = total
			total += int32(len(b.pos))
		}
	}
	pos := make([]r3.Vec, 0, total)
	for _, b := range g.blocks {
		if b != nil {
			pos = append(pos, b.pos...)
		}
	}
	faces := make([][][3]mesh.VertexID, len(g.blocks))
	Parallel(len(g.blocks), func(i int) {
		if g.blocks[i] != nil {
			faces[i] = g.quads(i, pos)
		}
	})
	var tri [][3]mesh.VertexID
	for _, f := range faces {
		tri = append(tri, f...)
	}
	return Clean(&mesh.Mesh{Pos: pos, Tri: tri})
}

// quads spans the crossed edges that start at the first corner of each cell of a
// block; the four cells around such an edge are the cell and its lower neighbours.
func (g *gridder) quads(index int, pos []r3.Vec) [][3]mesh.VertexID {
	b := g.blocks[index]
	tri := make([][3]mesh.VertexID, 0, 2*len(b.pos))
	for _, a := range b.active {
		i, j, k := int(a.at)%blockCells, int(a.at)/blockCells%blockCells, int(a.at)/(blockCells*blockCells)
		for axis := range 3 {
			if patchings[a.mask].of[4*axis] == noPatch {
				continue
			}
			q, ok := g.around(index, i, j, k, axis)
			if !ok {
				continue
			}
			if a.mask&1 == 0 { // the edge starts outside: it enters the solid
				q[1], q[3] = q[3], q[1]
			}
			tri = cut(tri, q, pos)
		}
	}
	return tri
}

// around returns the vertices of the four cells about an edge, counter-clockwise
// seen from the edge's far end.
func (g *gridder) around(index, i, j, k, axis int) (q [4]mesh.VertexID, ok bool) {
	u, v := (axis+1)%3, (axis+2)%3
	// Seen from the edge's end, the four cells lie at (0,0), (-1,0), (-1,-1), (0,-1)
	// in (u, v); in the cell at (-1,·) the edge stands on its +u side, and so on.
	step := [4][2]int{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}}
	for n, s := range step {
		at := [3]int{i, j, k}
		at[u] += s[0]
		at[v] += s[1]
		start := uint8(-s[0])<<u | uint8(-s[1])<<v
		id, found := g.vertexAt(index, at, start, axis)
		if !found {
			return q, false
		}
		q[n] = id
	}
	return q, true
}

// vertexAt returns the vertex of the patch of a cell to which the edge that
// leaves the cell's corner start along axis belongs. at counts from the block's
// first cell and may lie in a neighbouring block.
func (g *gridder) vertexAt(index int, at [3]int, start uint8, axis int) (mesh.VertexID, bool) {
	stride := [3]int{1, g.n[0], g.n[0] * g.n[1]}
	where := [3]int{index % g.n[0], index / g.n[0] % g.n[1], index / (g.n[0] * g.n[1])}
	for k := range 3 {
		if at[k] < 0 {
			if where[k] == 0 {
				return 0, false
			}
			at[k] += blockCells
			index -= stride[k]
		}
	}
	b := g.blocks[index]
	if b == nil {
		return 0, false
	}
	slot := b.cell[(at[2]*blockCells+at[1])*blockCells+at[0]]
	if slot < 0 {
		return 0, false
	}
	c := b.active[slot]
	patch := patchings[c.mask].of[edgeOf(start, start|1<<axis)]
	if patch == noPatch {
		return 0, false
	}
	return mesh.VertexID(b.first + c.first + int32(patch)), true
}

// cut appends the two triangles of a quadrilateral, divided along its shorter
// diagonal.
func cut(tri [][3]mesh.VertexID, q [4]mesh.VertexID, pos []r3.Vec) [][3]mesh.VertexID {
	if pos[q[0]].Dist2(pos[q[2]]) <= pos[q[1]].Dist2(pos[q[3]]) {
		return append(tri, [3]mesh.VertexID{q[0], q[1], q[2]}, [3]mesh.VertexID{q[0], q[2], q[3]})
	}
	return append(tri, [3]mesh.VertexID{q[0], q[1], q[3]}, [3]mesh.VertexID{q[1], q[2], q[3]})
}
