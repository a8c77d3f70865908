package coverage

import (
	"selvage/mesh"
	"selvage/r3"
)

// Form is how the points of a gap describe it.
type Form uint8

// The forms.
const (
	NoForm  Form = iota // the points are not known
	AsHole              // the rim of a hole, closed
	AsRim               // the piece of the scan's outer rim that ends too early, open
	AsCells             // middles of cells that were not seen
)

// rimSeen is how far beyond the scan's rim a patch is drawn, mm: that surface is missing
// there is known, how far it should go is not.
const rimSeen = 0.8

// Patches makes a mesh of what gaps leave out, to be drawn: a cap over a hole, a strip
// along a rim, a tile per unseen cell. It is no guess of the surface: nothing is measured
// on it. It is empty where no gap has points.
func Patches(gaps []Gap) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, g := range gaps {
		switch n := g.Normal.UnitOr(r3.V(0, 0, 1)); g.Form {
		case AsHole:
			capOver(m, g.Outline, n)
		case AsRim:
			strip(m, g.Outline, n)
		case AsCells:
			tiles(m, g.Outline, n, rasterCell)
		}
	}
	return m
}

func add(m *mesh.Mesh, p r3.Vec) mesh.VertexID {
	m.Pos = append(m.Pos, p)
	return mesh.VertexID(len(m.Pos) - 1)
}

// face adds a triangle that is seen from n.
func face(m *mesh.Mesh, a, b, c mesh.VertexID, n r3.Vec) {
	if m.Pos[b].Sub(m.Pos[a]).Cross(m.Pos[c].Sub(m.Pos[a])).Dot(n) < 0 {
		b, c = c, b
	}
	m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c})
}

// capOver closes a rim by a fan from its middle.
func capOver(m *mesh.Mesh, rim []r3.Vec, n r3.Vec) {
	if len(rim) < 3 {
		return
	}
	var mid r3.Vec
	for _, p := range rim {
		mid = mid.Add(p)
	}
	hub := add(m, mid.Scale(1/float64(len(rim))))
	first := mesh.VertexID(len(m.Pos))
	for _, p := range rim {
		add(m, p)
	}
	k := mesh.VertexID(len(rim))
	for i := range k {
		face(m, hub, first+i, first+(i+1)%k, n)
	}
}

// strip stands on an open rim like a fence, turned to where the missing surface would
// face.
func strip(m *mesh.Mesh, rim []r3.Vec, n r3.Vec) {
	if len(rim) < 2 {
		return
	}
	along := rim[len(rim)-1].Sub(rim[0]).UnitOr(r3.Vec{})
	out := n.Reject(along).UnitOr(n)
	first := mesh.VertexID(len(m.Pos))
	for _, p := range rim {
		add(m, p)
		add(m, p.AddScaled(rimSeen, out))
	}
	up := along.Cross(out).UnitOr(out)
	for i := range mesh.VertexID(len(rim) - 1) {
		a := first + 2*i
		face(m, a, a+1, a+2, up)
		face(m, a+1, a+3, a+2, up)
	}
}

// tiles lays a square on every point.
func tiles(m *mesh.Mesh, at []r3.Vec, n r3.Vec, side float64) {
	x, y := n.Basis()
	for _, p := range at {
		a := add(m, p.AddScaled(-side/2, x).AddScaled(-side/2, y))
		b := add(m, p.AddScaled(side/2, x).AddScaled(-side/2, y))
		c := add(m, p.AddScaled(side/2, x).AddScaled(side/2, y))
		d := add(m, p.AddScaled(-side/2, x).AddScaled(side/2, y))
		face(m, a, b, c, n)
		face(m, a, c, d, n)
	}
}
