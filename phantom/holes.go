package phantom

import (
	"math"
	"slices"

	"selvage/limit"
	"selvage/mesh"
	"selvage/r3"
)

// Holes in the preparation, mm.
const (
	holeLeast  = 0.5 // from this extent on, a hole is entered into the truth
	ofMargin   = 0.3 // above or inside the margin, what is nearer is the margin's
	holeBeside = 0.2 // from the margin, a hole touches it
	holeUp     = 1.5 // a hole that touches the margin and reaches no higher is the margin's
)

// surveyHoles lists the holes that the scanner left in the preparation: connected faces
// of the exact surface that the working scan lacks, by the widest distance across what
// of them lies on the cut surface. What lies at the margin belongs to its stretches
// (methods.md §10), and where a program closed a hole there is none.
func (b *build) surveyHoles(m *made) {
	w := b.w
	center := w.prepared.Center()
	reach := w.prepared.Form.Width/2 + w.prepared.Form.Height
	mid := func(m *mesh.Mesh, t [3]mesh.VertexID) r3.Vec { return m.Pos[t[0]].Add(m.Pos[t[1]]).Add(m.Pos[t[2]]) }
	shown := make(map[r3.Vec]bool) // looked up, never walked
	for _, t := range m.mesh.Tri {
		if m.mesh.Pos[t[0]].Dist2(center) < reach*reach {
			shown[mid(m.mesh, t)] = true
		}
	}
	lost := make([][3]mesh.VertexID, 0, 1024)
	for _, t := range m.exact.Tri {
		if m.exact.Pos[t[0]].Dist2(center) < reach*reach && !shown[mid(m.exact, t)] {
			lost = append(lost, t)
		}
	}
	for _, hole := range pieces(len(m.exact.Pos), lost) {
		pts := make([]r3.Vec, len(hole))
		for i, v := range hole {
			pts[i] = m.exact.Pos[v]
		}
		b.enterHole(pts)
	}
}

// pieces returns the vertices of each connected set of faces, in their order.
func pieces(n int, tri [][3]mesh.VertexID) [][]mesh.VertexID {
	set := newSets(n)
	for _, t := range tri {
		for _, v := range t {
			if set.parent[v] < 0 {
				set.open(int(v), 0, 0)
			}
		}
		set.join(int(t[0]), int(t[1]))
		set.join(int(t[0]), int(t[2]))
	}
	at := make([]int, n) // one plus the index of the piece of a root
	var out [][]mesh.VertexID
	for v := range n {
		if set.parent[v] < 0 {
			continue
		}
		root := set.find(v)
		if at[root] == 0 {
			out = append(out, nil)
			at[root] = len(out)
		}
		out[at[root]-1] = append(out[at[root]-1], mesh.VertexID(v))
	}
	return out
}

// enterHole enters what of a hole lies on the preparation.
func (b *build) enterHole(pts []r3.Vec) {
	line := make([]r3.Vec, len(b.truth.Margin.Points))
	for i, p := range b.truth.Margin.Points {
		line[i] = p.Vec()
	}
	var in []r3.Vec
	up, touches := 0.0, false
	var middle r3.Vec
	for _, p := range pts {
		q := b.w.prepared.Local(p)
		outer, cut := b.w.stump.Faces(q)
		off := nearest(line, p)
		touches = touches || off < holeBeside
		if math.Abs(b.w.stump.Local(q).D) > onStump || cut.D < outer.D || q.Z < b.w.spec.Stump.MarginHeight-1 || off < ofMargin {
			continue
		}
		in = append(in, p)
		middle = middle.Add(p)
		up = max(up, off)
	}
	if touches && up < holeUp || len(in) < 2 {
		return
	}
	middle = middle.Scale(1 / float64(len(in)))
	extent := 0.0
	for i, p := range in {
		for _, q := range in[i+1:] {
			extent = max(extent, p.Dist(q))
		}
	}
	row, ok := limit.Default().Find(limit.HolePreparation, limit.Selector{})
	if !ok || extent < holeLeast || slices.ContainsFunc(b.found, func(f Finding) bool { // made and entered by a fault
		return (f.Code == "surface-missing" || f.Code == "surface-invented") && f.At.Vec().Dist(middle) < extent
	}) {
		return
	}
	at := pointOf(middle)
	b.truth.Missing = append(b.truth.Missing, MissingTruth{
		Scan: Working, What: "surface", Surface: b.surfaceAt(middle), At: at, DiameterMm: extent,
	})
	b.hold("surface-missing", row, true, extent, "mm", at)
}
