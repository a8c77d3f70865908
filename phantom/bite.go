package phantom

import (
	"selvage/bvh"
	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
)

// bitten makes the buccal record: the cheek side of both arches with the teeth
// closed, seen from the cheek.
func (b *build) bitten() *made {
	w := b.w
	out := &made{role: Bite, arch: w.working, pose: r3.Still(), scale: 1}
	lower, upper := w.workingScene(true), w.opposingScene()
	half := func(s *mouth.Jaw, in func(p r3.Vec) float64) *mesh.Mesh {
		// The tongue side is never looked at; cheekOnly cuts it off early.
		s.Rim = func(p r3.Vec) float64 { return max(in(p), cheekOnly-w.outwards(p)) }
		return trim(solid.Contour(s, b.lattice(Bite), w.box(w.working).Union(w.box(w.opposing))), s.Rim)
	}
	const facing = "bite, opposing half" // the half that no preparation has a part in
	above, ok := b.bank.scan(facing, b.lattice(Bite), w)
	if !ok {
		above.role, above.mesh = facing, half(upper, w.rimOf(w.opposing, upper))
		b.bank.keep(&above, b.lattice(Bite), w)
	}
	m := join(half(lower, w.rimOf(w.working, lower)), above.mesh.Moved(r3.Rigid{R: r3.Identity(), T: b.opened}))
	out.exact, out.mesh = m, m
	if b.spec.Exact {
		return out
	}
	var poses []pose
	from, to := w.working.Teeth[w.first].S, w.working.Teeth[w.last].S
	for s := from - 2; s <= to+2; s += 3 {
		p, t := w.working.Curve.At(s)
		side := r3.V(t.Y, -t.X, 0)
		for _, d := range [...]r3.Vec{side, side.Add(t.Scale(0.4)), side.Add(t.Scale(-0.4)), side.Add(r3.V(0, 0, 0.4)), side.Add(r3.V(0, 0, -0.4))} {
			d = d.UnitOr(side)
			poses = append(poses, pose{p.AddScaled(4, side).AddScaled(workingDistance, d), d.Neg()})
		}
	}
	shown := seen(m, normals(m), bvh.Build(m), poses)
	out.mesh = dropCrumbs(keepVertices(m, mend(m, shown)), crumbArea)
	return out
}

// cheekOnly is how far inside the line of the lower tooth axes the record reaches, mm.
const cheekOnly = 0.0

// outwards returns the distance of p outside the line of the lower tooth axes.
func (w *world) outwards(p r3.Vec) float64 {
	a := w.working
	if w.opposing.Curve.Reach() < a.Curve.Reach() {
		a = w.opposing
	}
	_, out := a.Curve.Nearest(p)
	return out
}

// join puts two meshes into one.
func join(a, b *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{
		Pos: append(append([]r3.Vec(nil), a.Pos...), b.Pos...),
		Tri: append([][3]mesh.VertexID(nil), a.Tri...),
	}
	n := mesh.VertexID(len(a.Pos))
	for _, t := range b.Tri {
		out.Tri = append(out.Tri, [3]mesh.VertexID{t[0] + n, t[1] + n, t[2] + n})
	}
	if a.Color != nil { // what is joined to a coloured scan is tissue
		out.Color = append([]mesh.RGB(nil), a.Color...)
		for range b.Pos {
			out.Color = append(out.Color, pink)
		}
	}
	return out
}
