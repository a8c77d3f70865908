package reduction

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

const (
	// facing is the least cosine to the axis of the occlusal table and of a front
	// tooth's edge: 60°.
	facing = 0.5

	// tableFrom and edgeFrom are the heights above the margin's centroid, as shares of the
	// preparation's, from which
	// what faces the axis is the occlusal table, not a shelf, and a front tooth's edge, not
	// its lingual hollow.
	tableFrom, edgeFrom = 0.5, 0.75

	// lineAngle is how far, mm, the occlusal surface is left out beside its edge: the
	// rounding asked for there is 0.5 mm in radius, of which the part that faces the axis
	// within 60° is an arc of 0.5 mm.
	lineAngle = 0.5

	// wallArea is the least area, mm², of a wall: a speck of steep surface on the
	// occlusal table is noise or a scratch and has no line angle.
	wallArea = 1.0

	// steadyTilt is the error, in radians, that a normal may keep: 2°.
	steadyTilt = 0.035

	// steadyMost bounds the rounds of smoothing: at 0.06 mm spacing they reach 0.17 mm.
	steadyMost = 12
)

// steady smooths the normals as far as noise asks for it. A raw one errs by about
// noise/spacing, and n rounds, a mean over some 4n vertices, leave 1/√(4n) of that. Noise
// turns rays, which then measure too much, and scatters specks of wall over inclines.
func (c *cut) steady() {
	tilt := c.o.PrepSigma / surface.Spacing(c.m)
	rounds := int(math.Ceil(tilt * tilt / (4 * steadyTilt * steadyTilt)))
	if tilt > steadyTilt {
		c.n = surface.SmoothNormals(c.m, min(rounds, steadyMost))
	}
}

// divide gives every vertex its zone.
func (c *cut) divide() {
	from := tableFrom
	if c.in.Front {
		from = edgeFrom
	}
	c.zone = make([]Zone, len(c.m.Pos))
	level := func(p r3.Vec) float64 { return p.Sub(c.ring.Centre).Dot(c.in.Axis) }
	top := 0.0
	for _, p := range c.m.Pos {
		top = max(top, level(p))
	}
	wall := make([]bool, len(c.m.Pos))
	c.high = make([]bool, len(c.m.Pos))
	for v, p := range c.m.Pos {
		h, _ := c.ring.Above(p)
		up := c.n[v].Dot(c.in.Axis) > facing
		c.high[v] = level(p) > top*from && h > c.o.AxialFrom
		switch {
		case up && c.high[v]:
			c.zone[v] = Occlusal
		case h > c.o.AxialFrom && (!up || c.in.Front):
			c.zone[v] = Axial
			wall[v] = !up
		default:
			c.zone[v] = Cervical
		}
	}
	c.holdingThird()
	if !c.in.Front {
		c.trim(wall)
	}
}

// holdingThird marks the functional third of the occlusal zone, its line angle
// included, along the direction of the holding cusp.
func (c *cut) holdingThird() {
	c.functional = make([]bool, len(c.m.Pos))
	h, ok := c.in.Holding.Reject(c.in.Axis).Unit()
	if !ok {
		return
	}
	var s []float64
	for v, z := range c.zone {
		if z == Occlusal {
			s = append(s, c.m.Pos[v].Dot(h))
		}
	}
	if len(s) == 0 {
		return
	}
	slices.Sort(s)
	lo, hi := num.QuantileSorted(s, 0.02), num.QuantileSorted(s, 0.98)
	for v, p := range c.m.Pos {
		c.functional[v] = p.Dot(h) > hi-(hi-lo)/3
	}
}

// trim takes the line angle out of the occlusal zone, unless the zone is so narrow
// that less than two patches would be left.
func (c *cut) trim(wall []bool) {
	edge := c.edge(wall)
	inner := 0.0
	beside := make([]bool, len(c.zone))
	for v, z := range c.zone {
		if z != Occlusal {
			continue
		}
		for _, q := range edge {
			if q.Dist2(c.m.Pos[v]) <= lineAngle*lineAngle {
				beside[v] = true
				break
			}
		}
		if !beside[v] {
			inner += c.area[v]
		}
	}
	if inner < 2*c.o.PatchArea {
		return
	}
	for v := range c.zone {
		if beside[v] {
			c.zone[v] = LineAngle
		}
	}
}

// edge returns the vertices of the walls that border on the occlusal zone.
func (c *cut) edge(wall []bool) []r3.Vec {
	var out []r3.Vec
	var ring []mesh.VertexID
	for _, set := range surface.Regions(c.topo, wall) {
		area := 0.0
		for _, v := range set {
			area += c.area[v]
		}
		if area < wallArea {
			continue
		}
		for _, v := range set {
			ring = c.topo.OneRing(ring, v)
			if slices.ContainsFunc(ring, func(w mesh.VertexID) bool { return c.zone[w] == Occlusal }) {
				out = append(out, c.m.Pos[v])
			}
		}
	}
	return out
}

// onHolding reports whether v is occlusal and on the side of the holding cusp.
func (c *cut) onHolding(v int) bool { return c.zone[v] == Occlusal && c.functional[v] }

// borderTilt is how far, in radians, a mesh may turn a normal on an edge as round as two
// or three spacings: 5°.
const borderTilt = 5 * math.Pi / 180

// withRim adds to the uncertainty of a zone's value what the end of the old surface is worth.
// A scan from before ends on the sides towards the neighbours, often where least was cut;
// whether the rays of the last ring of vertices still meet it is chance, and by as much as
// the level changes without them it is not known.
func (c *cut) withRim(v measure.Value, z Zone) measure.Value {
	if !v.Measured() {
		return v
	}
	last := make([]bool, len(c.m.Pos))
	any := false
	var ring []mesh.VertexID
	for k, own := range c.zone {
		if own != z || math.IsNaN(c.normal[k]) {
			continue
		}
		ring = c.topo.OneRing(ring, mesh.VertexID(k))
		last[k] = slices.ContainsFunc(ring, func(w mesh.VertexID) bool { return c.zone[w] == z && math.IsNaN(c.normal[w]) })
		any = any || last[k]
	}
	if !any {
		return v
	}
	f := c.fitted(c.normal, func(k int) bool { return c.zone[k] == z && !last[k] })
	if p, ok := surface.LowPatch(c.topo, c.area, f, c.o.PatchArea); ok {
		v.U = math.Hypot(v.U, p.Level-v.V)
	}
	return v
}

// withBorder adds to the uncertainty of a front tooth's value what the border of its zone
// is worth. The edge is all line angle, over which what was cut goes from the height's to
// the wall's within half a millimetre; by as much as the level changes when the zone
// ends borderTilt sooner or later it is not known.
func (c *cut) withBorder(v measure.Value) measure.Value {
	if !c.in.Front || !v.Measured() {
		return v
	}
	spread := 0.0
	for _, turn := range [2]float64{-borderTilt, borderTilt} {
		least := math.Cos(math.Acos(facing) + turn)
		f := c.fitted(c.normal, func(v int) bool { return c.high[v] && c.n[v].Dot(c.in.Axis) > least })
		p, ok := surface.LowPatch(c.topo, c.area, f, c.o.PatchArea)
		if !ok { // what is left is no patch: all of it bounds the value
			p.Level = v.V
			for _, x := range f {
				if !math.IsInf(x, 0) && !math.IsNaN(x) {
					p.Level = max(p.Level, x)
				}
			}
		}
		spread = max(spread, math.Abs(p.Level-v.V))
	}
	v.U = math.Hypot(v.U, spread)
	return v
}
