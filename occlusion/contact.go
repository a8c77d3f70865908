package occlusion

import (
	"cmp"
	"math"
	"slices"

	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// contactArea is the least area, mm², of a contact: three vertices at 0.1 mm
// spacing. A sphere of 2 mm radius that just touches a plane has 0.6 mm² within
// contactBand.
const contactArea = 0.03

// contacts finds the connected regions where the arches touch.
func (a *arches) contacts(res *Result) {
	if !res.PenetrationMax.Measured() {
		res.ContactCount = measure.Not(res.PenetrationMax.Why)
		return
	}
	in := make([]bool, len(a.d))
	for v, d := range a.d {
		in[v] = finite(d) && d+a.lift*a.opens(v) <= contactBand
	}
	for _, set := range surface.Regions(a.topo, in) {
		if c := a.contact(set); c.Area >= contactArea {
			res.Contacts = append(res.Contacts, c)
		}
	}
	slices.SortStableFunc(res.Contacts, func(x, y Contact) int { return cmp.Compare(y.Area, x.Area) })
	res.ContactCount = measure.Of(float64(len(res.Contacts)), 0, measure.One)
}

// opens returns by how much the gap at v grows per mm of lift along Up: the cosine
// between Up and the opposing surface's own way back.
func (a *arches) opens(v int) float64 {
	n, _ := a.gauge.tree.Mesh.AreaVector(a.gap[v].face).Unit()
	return max(-n.Dot(a.in.Up), 0)
}

func (a *arches) contact(set []mesh.VertexID) Contact {
	c := Contact{Least: math.Inf(1)}
	for _, v := range set {
		c.Area += a.area[v]
		c.At = c.At.AddScaled(a.area[v], a.m.Pos[v])
		c.Normal = c.Normal.AddScaled(a.area[v], a.normal[v])
		c.Least = min(c.Least, a.d[v])
	}
	if c.Area > 0 {
		c.At = c.At.Scale(1 / c.Area)
	}
	c.Normal = c.Normal.UnitOr(a.in.Up)
	return c
}

// apart fills in the least distance between the arches beside the prepared tooth.
func (a *arches) apart(res *Result) {
	level, at := a.level, a.lowest
	if math.IsInf(level, 1) {
		level, at = a.farLevel(func(p r3.Vec) bool { return !a.excluded(p) })
	}
	if math.IsInf(level, 1) {
		res.Gap = measure.Not("the arches stand more than 5 mm apart, or one does not reach over the other")
		return
	}
	res.Gap = measure.Of(max(level, 0), 2*a.sigma, measure.MM).At(a.place(at))
}

// farLevel returns the lowest patch of the distances out to openReach, among the
// vertices that in accepts and that face the opposing arch.
func (a *arches) farLevel(in func(r3.Vec) bool) (float64, mesh.VertexID) {
	var at []mesh.VertexID
	var pts []r3.Vec
	for v, p := range a.m.Pos {
		if in(p) && a.normal[v].Dot(a.in.Up) > 0 {
			at, pts = append(at, mesh.VertexID(v)), append(pts, p)
		}
	}
	d := make([]float64, len(a.d))
	for v := range d {
		d[v] = math.Inf(1)
	}
	for i, g := range a.gauge.measure(pts, openReach) {
		if g.face != mesh.None && !g.edge && a.gauge.tree.Mesh.AreaVector(g.face).Dot(a.normal[at[i]]) < 0 {
			d[at[i]] = g.d
		}
	}
	p, ok := surface.LowPatch(a.topo, a.area, d, bitePatch)
	if !ok {
		return math.Inf(1), mesh.None
	}
	return p.Level, p.Lowest
}

// beside fills in each neighbour's contacts and gap, and where its holding cusp is.
func (a *arches) beside(res *Result) {
	var off float64
	var n int
	for _, t := range a.in.Neighbours {
		res.Beside = append(res.Beside, a.meets(t, res.Contacts, func(c Contact) {
			off += c.At.Sub(t.Centre).Dot(a.in.Buccal)
			n++
		}))
	}
	for _, t := range a.in.Others {
		res.Others = append(res.Others, a.meets(t, res.Contacts, func(Contact) {}))
	}
	if n == 0 || a.in.Buccal == (r3.Vec{}) {
		res.HoldingSide = measure.Not("no contact on the neighbours shows which cusps hold the bite")
		return
	}
	// A neighbour's centre is known to about half a millimetre.
	res.HoldingSide = measure.Of(off/float64(n), 0.5, measure.MM)
}

// meets says how tooth t meets its opponent, and tells each of its contacts.
func (a *arches) meets(t Neighbour, contacts []Contact, tell func(Contact)) Beside {
	r := cmp.Or(t.Radius, 4.5)
	on := func(p r3.Vec) bool {
		return !a.excluded(p) && p.Sub(t.Centre).Reject(a.in.Up).Norm2() < r*r
	}
	b := Beside{Neighbour: t}
	for _, c := range contacts {
		if on(c.At) {
			b.Contacts++
			tell(c)
		}
	}
	b.Gap = a.gapOn(on)
	return b
}

// gapOn returns the least distance to the opposing arch where on holds.
func (a *arches) gapOn(on func(r3.Vec) bool) measure.Value {
	d := slices.Clone(a.d)
	for v := range d {
		if !on(a.m.Pos[v]) {
			d[v] = math.Inf(1)
		}
	}
	p, ok := surface.LowPatch(a.topo, a.area, d, bitePatch)
	level, at := p.Level, p.Lowest
	if !ok {
		level, at = a.farLevel(on)
	}
	if math.IsInf(level, 1) {
		return measure.Not("no opposing surface lies within 5 mm of this tooth")
	}
	return measure.Of(level, 2*a.sigma, measure.MM).At(a.place(at))
}

// supportReach is how far beside the line along the arch, mm, a contact still holds
// the jaw on one side of the prepared tooth: one molar's width. Farther off, on the
// other half of the arch, it holds that half.
const supportReach = 12.0

// support fills in whether the arches hold each other ahead of and behind the
// prepared tooth. The direction comes from the neighbours; a side without one is
// opposite to the side that has one.
func (a *arches) support(res *Result) {
	res.Ahead = a.supportOn(Mesial, res.Contacts)
	res.Behind = a.supportOn(Distal, res.Contacts)
}

func (a *arches) supportOn(side Side, contacts []Contact) Support {
	dir, ok := a.toward(side)
	if !ok {
		return Support{Why: "no neighbour shows which way the arch runs"}
	}
	var s Support
	for _, c := range contacts {
		d := c.At.Sub(a.in.Tooth).Reject(a.in.Up)
		along := d.Dot(dir)
		if along > 0 && d.AddScaled(-along, dir).Norm() < supportReach {
			s.Contacts++
		}
	}
	s.Held = s.Contacts > 0
	if !s.Held {
		s.Why = "the arches do not touch " + side.String() + " of the preparation"
	}
	return s
}

// toward returns the direction along the arch from the prepared tooth to one side.
func (a *arches) toward(side Side) (r3.Vec, bool) {
	var dir r3.Vec
	for _, t := range a.in.Neighbours {
		d := t.Centre.Sub(a.in.Tooth).Reject(a.in.Up).UnitOr(r3.Vec{})
		if t.Side == side {
			return d, d != (r3.Vec{})
		}
		dir = d.Neg()
	}
	return dir, dir != (r3.Vec{})
}
