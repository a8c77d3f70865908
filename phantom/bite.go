package phantom

import (
	"math"

	"selvage/bvh"
	"selvage/limit"
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

// GapTruth is how a neighbour of the prepared tooth meets the opposing jaw.
type GapTruth struct {
	Tooth int     `json:"tooth"`
	GapMm float64 `json:"gap_mm"` // the least distance; negative where they cross
}

// surveyBite measures how the exact jaws stand as they are filed: the opposing surface
// against every whole tooth of the working jaw but the prepared ones.
func (b *build) surveyBite() {
	m := b.scan(Opposing)
	if m == nil {
		return
	}
	var sound []*mouth.Placed
	for _, t := range b.w.working.Teeth[b.w.first : b.w.last+1] {
		if t != b.w.prepared && !b.w.absent(t) && b.w.besideOf(t) == nil {
			sound = append(sound, t)
		}
	}
	least := make(map[*mouth.Placed]float64, len(sound))
	deepest := math.Inf(1)
	for _, t := range sound {
		d := math.Inf(1)
		reach := math.Hypot(t.Form.Width, t.Form.Height)
		for _, p := range m.exact.Pos {
			if p = p.Add(m.pose.T); p.Dist2(t.Center()) < reach*reach {
				d = min(d, t.Field(p).D)
			}
		}
		least[t] = d
		deepest = min(deepest, d)
	}
	b.bite.PenetrationMm = max(-deepest, 0)
	for _, c := range b.w.contacts() {
		if d, ok := least[c.neighbour]; ok && !math.IsInf(d, 1) {
			b.bite.Gaps = append(b.bite.Gaps, GapTruth{c.neighbour.Form.Number.FDI(), d})
		}
	}
}

// judgeBite judges record, contact and support, of the jaws as they are filed.
func (b *build) judgeBite() {
	t := limit.Default()
	if b.scan(Opposing) == nil {
		return
	}
	if b.scan(Bite) != nil {
		row, ok := t.Find(limit.BiteShift, limit.Selector{})
		b.hold("bite-differs", row, ok, b.bite.ShiftMm, "mm", Point{})
	}
	row, ok := t.Find(limit.BitePenetration, limit.Selector{})
	b.hold("bite-penetrates", row, ok, b.bite.PenetrationMm, "mm", Point{})
	b.judgeOpen()
	if b.lastTooth() && b.w.contactCount(1) == 0 {
		b.found = append(b.found, Finding{Code: "bite-unsupported", Level: "advise", Scan: Working})
	}
}

// judgeOpen holds the gaps of the neighbours against the limit: the bite is as open as
// the one that is least so. One that is open beside one that is not is worth a note, and
// so are front teeth that stay apart where the jaws hold each other elsewhere.
func (b *build) judgeOpen() {
	row, ok := limit.Default().Find(limit.BiteGap, limit.Selector{})
	if len(b.bite.Gaps) == 0 {
		return
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, g := range b.bite.Gaps {
		lo, hi = min(lo, g.GapMm), max(hi, g.GapMm)
	}
	held := b.opened == (r3.Vec{}) && b.bite.ShiftMm == 0 && b.bite.Contacts >= 2
	before := len(b.found)
	b.hold("bite-open", row, ok, lo*1000, "um", Point{})
	switch {
	case len(b.found) > before && b.spec.Tooth.Front() && held:
		b.found[before].Level = "advise"
	case len(b.found) == before && ok && row.Flag.Beyond(row.Bad, hi*1000):
		b.found = append(b.found, Finding{Code: "bite-open", Level: "advise", Scan: Opposing, Value: hi * 1000, Unit: "um"})
	}
}

// lastTooth reports whether no tooth stands behind the prepared one.
func (b *build) lastTooth() bool {
	for _, t := range b.w.working.Teeth {
		if t.S > b.w.prepared.S && !b.w.absent(t) {
			return false
		}
	}
	return true
}
