package occlusion

import (
	"math"

	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// Judge says what is known of the bite that the files carry, before anything is
// measured in it.
//
// Two witnesses are heard. The bite record, where there is one, is registered to
// each arch by itself; the two registrations together say where the opposing arch
// would have to stand, and how far that is from where it does. The arches
// themselves are asked whether they cross, touch, or stand apart, on the teeth
// beside the prepared one: within Radius of Tooth, seen along Up, nothing counts.
//
// Penetration is the level that a patch of 0.1 mm² reaches, so a stray point is
// none; contact is a connected region within 0.05 mm once the opposing arch has
// been lifted along Up by what it crosses deeper than 0.05 mm. Where a scan is
// empty or the arches are more than 5 mm apart the values carry the reason.
//
// Cost: one nearest-point query per vertex of the working arch, and some thousand
// per round of registration. Deterministic.
func Judge(in Input) Result {
	var res Result
	judgeRecord(in, &res)
	a := newArches(in)
	a.penetration(&res)
	a.contacts(&res)
	a.apart(&res)
	a.beside(&res)
	a.support(&res)
	judgeBefore(in, a.gauge, &res)
	return res
}

// arches is the part of the working arch near the opposing one, with its gaps.
type arches struct {
	in     Input
	gauge  *gauge
	m      *mesh.Mesh
	topo   *mesh.Topology
	normal []r3.Vec
	area   []float64
	gap    []gap
	d      []float64 // fitted distance where the surfaces face each other, else +Inf
	sigma  float64   // mm, of a fitted distance
	lift   float64   // mm, what is taken out before contacts are looked for
	level  float64   // mm, the lowest patch; +Inf where nothing faces
	lowest mesh.VertexID
}

func newArches(in Input) *arches {
	a := &arches{in: in, gauge: newGauge(in.Opposing.Tree, in.Up)}
	near := nearFaces(in.Working.Mesh, a.gauge, openReach)
	a.m, _, _ = mesh.Submesh(in.Working.Mesh, func(f mesh.FaceID) bool { return near[f] })
	a.topo = mesh.NewTopology(a.m)
	a.normal = surface.VertexNormals(a.m)
	a.area = surface.VertexAreas(a.m)
	a.gap = a.beyondTooth(biteReach)
	// The fit leaves 0.6 of the working scan's noise; see clearing.u.
	a.sigma = math.Hypot(0.6*sigmaOr(in.Working.Sigma), sigmaOr(in.Opposing.Sigma))
	a.fit()
	return a
}

// beyondTooth returns the gaps of all vertices but those of the prepared tooth, of which
// nobody asks; theirs are as beyond reach.
func (a *arches) beyondTooth(reach float64) []gap {
	var at []mesh.VertexID
	var pts []r3.Vec
	for v, p := range a.m.Pos {
		if !a.excluded(p) {
			at, pts = append(at, mesh.VertexID(v)), append(pts, p)
		}
	}
	out := make([]gap, len(a.m.Pos))
	for v := range out {
		out[v] = noGap
	}
	for i, g := range a.gauge.measure(pts, reach) {
		out[at[i]] = g
	}
	return out
}

// nearFaces marks the faces of m within the box of the opposing arch, grown by
// reach, and outside nothing: a cheap first sieve.
func nearFaces(m *mesh.Mesh, g *gauge, reach float64) []bool {
	box := g.tree.Mesh.Box().Grow(reach)
	near := make([]bool, len(m.Tri))
	for f, t := range m.Tri {
		near[f] = box.Contains(m.Pos[t[0]]) || box.Contains(m.Pos[t[1]]) || box.Contains(m.Pos[t[2]])
	}
	return near
}

// fit keeps the distances of the vertices that face the opposing arch beside the
// prepared tooth, and smooths those that may be contacts.
func (a *arches) fit() {
	a.d = make([]float64, len(a.gap))
	var at []mesh.VertexID
	for v, g := range a.gap {
		a.d[v] = math.Inf(1)
		if !finite(g.d) || g.edge || a.excluded(a.m.Pos[v]) || !a.faces(v) {
			continue
		}
		a.d[v] = g.d
		if g.d < 2*contactBand+fitMargin {
			at = append(at, mesh.VertexID(v))
		}
	}
	noise := math.Hypot(sigmaOr(a.in.Working.Sigma), sigmaOr(a.in.Opposing.Sigma))
	fitted := surface.FitField(a.m, a.topo, a.normal, a.d, at, fitRadius(surface.Spacing(a.m)), noise)
	for i, v := range at {
		a.d[v] = fitted[i]
	}
	a.level, a.lowest = math.Inf(1), mesh.None
	if p, ok := surface.LowPatch(a.topo, a.area, a.d, bitePatch); ok {
		a.level, a.lowest = p.Level, p.Lowest
	}
}

// faces reports whether the surfaces are turned to each other at v.
func (a *arches) faces(v int) bool {
	n, ok := a.gauge.tree.Mesh.AreaVector(a.gap[v].face).Unit()
	return ok && n.Dot(a.normal[v]) < -facing
}

// excluded reports whether p belongs to the prepared tooth.
func (a *arches) excluded(p r3.Vec) bool {
	return p.Sub(a.in.Tooth).Reject(a.in.Up).Norm2() < a.in.Radius*a.in.Radius
}

// penetration fills in how deep the arches cross.
func (a *arches) penetration(res *Result) {
	if len(a.m.Tri) == 0 || len(a.gauge.tree.Mesh.Tri) == 0 {
		why := "one of the arches is not in reach of the other"
		res.PenetrationMax, res.PenetrationArea = measure.Not(why), measure.Not(why)
		return
	}
	u := math.Hypot(2*a.sigma, a.chord())
	deep := max(-a.level, 0)
	depth := measure.Of(deep, u, measure.MM)
	if deep > 0 {
		depth = depth.At(a.place(a.lowest))
	}
	res.PenetrationMax = depth
	// The area's own error is that of its rim: the noise moves the rim of a dish of
	// the depth at hand by as much of the area as it is of the depth.
	var in float64
	for v, d := range a.d {
		if d < 0 {
			in += a.area[v]
		}
	}
	rim := 1.0
	if deep > 0 {
		rim = min(u/deep, 1)
	}
	res.PenetrationArea = measure.Of(in, max(in*rim, bitePatch), measure.MM2)
	a.lift = max(deep-ignoredDepth, 0)
}

// chord returns how far the facets of two scans may overlap, mm, where the surfaces
// only touch: a facet that fits a cusp of curvature κ spans it by
//
//	ρ²κ/2,   ρ the radius of the facet's circumcircle, no more than its longest edge / √3,
//
// and stands out of the hollow that holds the cusp by as much. On a molar's cusp of 2 mm
// radius that is 4 µm at 0.2 mm spacing; at an incisal edge of 0.4 mm radius 30 µm at
// 0.28 mm, which read as a crossing of its own.
func (a *arches) chord() float64 {
	if a.lowest == mesh.None {
		return 0
	}
	const around = 1.0 // mm: enough for a fit over three rings of the coarsest scan
	at := a.m.Pos[a.lowest]
	sub, id, _ := mesh.Submesh(a.m, func(f mesh.FaceID) bool { return a.m.Centroid(f).Dist(at) < around })
	k := 0.0
	for i, p := range surface.Curvature(sub, mesh.NewTopology(sub)) {
		if id[i] == a.lowest {
			k = max(math.Abs(p.K1), math.Abs(p.K2))
		}
	}
	x, y, z := a.gauge.tree.Mesh.Corners(a.gap[a.lowest].face)
	edge := max(x.Dist(y), y.Dist(z), z.Dist(x))
	return min(edge*edge*k/6, chordMost)
}

func (a *arches) place(v mesh.VertexID) measure.Place {
	return measure.Place{At: a.m.Pos[v], Normal: a.normal[v], Scan: "working"}
}

// judgeBefore fills in how the tooth that was there before meets the opposing arch.
func judgeBefore(in Input, g *gauge, res *Result) {
	if in.Before == nil {
		res.BeforeGap = measure.Not("no scan from before the preparation")
		return
	}
	b := in.Before
	move := b.WorkingFromBefore
	sub, _, _ := mesh.Submesh(b.Mesh, func(f mesh.FaceID) bool {
		return move.Point(b.Mesh.Centroid(f)).Sub(in.Tooth).Reject(in.Up).Norm2() < in.Radius*in.Radius
	})
	sub = sub.Moved(move)
	topo := mesh.NewTopology(sub)
	normal, area := surface.VertexNormals(sub), surface.VertexAreas(sub)
	d := make([]float64, len(sub.Pos))
	for v, x := range g.measure(sub.Pos, openReach) {
		d[v] = x.d
		if x.face == mesh.None || x.edge || g.tree.Mesh.AreaVector(x.face).Dot(normal[v]) > 0 {
			d[v] = math.Inf(1)
		}
	}
	p, ok := surface.LowPatch(topo, area, d, bitePatch)
	if !ok {
		res.BeforeGap = measure.Not("the tooth before it was cut meets no opposing surface")
		return
	}
	raw := math.Hypot(sigmaOr(b.Sigma), sigmaOr(in.Opposing.Sigma))
	d = surface.FitLow(sub, topo, normal, area, d, nil, bitePatch, fitMargin, fitRadius(surface.Spacing(sub)), raw)
	if q, ok := surface.LowPatch(topo, area, d, bitePatch); ok {
		p = q
	}
	noise := 2 * math.Hypot(0.6*sigmaOr(b.Sigma), sigmaOr(in.Opposing.Sigma))
	res.BeforeGap = measure.Of(p.Level, math.Hypot(noise, b.U), measure.MM).
		At(measure.Place{At: sub.Pos[p.Lowest], Normal: normal[p.Lowest], Scan: "working"})
}
