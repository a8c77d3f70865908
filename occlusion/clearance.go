package occlusion

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"selvage/bvh"
	"selvage/curve"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// ClearanceInput is what [Clear] measures.
type ClearanceInput struct {
	Prep     *mesh.Mesh     // the scan that holds the preparation, in the frame of Opposing
	Topo     *mesh.Topology // of Prep; nil: made here
	Inside   []mesh.FaceID  // its faces inside the margin; nil: found from Margin and Axis
	Margin   curve.Polyline // closed
	Axis     r3.Vec         // unit insertion axis
	Opposing *bvh.Tree      // the opposing arch, in the bite to be measured
	Holding  r3.Vec         // unit, from the tooth's middle to the side of the holding cusp
	Front    bool           // incisor or canine
	Scan     string         // role of Prep, for the places
	Options  ClearanceOptions
}

// ClearanceOptions tunes [Clear]; the zero value is the documented default.
type ClearanceOptions struct {
	PrepSigma     float64 // mm, scan noise of Prep; 0: not known, 0.01 is taken
	OpposingSigma float64 // mm, the same of Opposing
	BiteU         float64 // mm, k = 2, of the bite that the pose rests on; 0: 0.1; negative: none
	RegisterU     float64 // mm, k = 2, of a registration that brought Prep here; 0: none
	Reach         float64 // mm, no distance beyond it is looked for; 0: 5
	PatchArea     float64 // mm², of the patch that is compared; 0: 0.5
}

// withDefaults fills in what was left zero.
func (o ClearanceOptions) withDefaults() ClearanceOptions {
	o.PrepSigma, o.OpposingSigma = sigmaOr(o.PrepSigma), sigmaOr(o.OpposingSigma)
	if o.BiteU == 0 {
		o.BiteU = recordU
	}
	o.BiteU = max(o.BiteU, 0)
	o.Reach = cmp.Or(o.Reach, openReach)
	o.PatchArea = cmp.Or(o.PatchArea, 0.5)
	return o
}

// ClearanceResult is the room above the preparation. Values are shortest distances
// in mm, negative where the surfaces cross, unless they say otherwise.
type ClearanceResult struct {
	Min           measure.Value    // at the worst point
	PatchMin      measure.Value    // the level at which a connected patch reaches the patch area: to be compared
	FunctionalMin measure.Value    // at the worst point of the functional side
	AxisPatchMin  measure.Value    // as PatchMin, of the distance along the axis
	Zones         [3]ZoneClearance // by Zone

	Vertices []ClearanceAt // every vertex inside the margin, by id
	NearEdge float64       // share of the area whose nearest opposing point is at the scan's edge
}

// ZoneClearance is the room above one zone.
type ZoneClearance struct {
	Min, PatchMin measure.Value
	Area          float64 // mm²
}

// ClearanceAt is the clearance at one vertex of Prep.
type ClearanceAt struct {
	Vertex   mesh.VertexID
	Zone     Zone
	Distance float64 // mm, shortest, signed; +Inf beyond reach
	Along    float64 // mm, along the axis, signed; +Inf where nothing is met
	Edge     bool    // the nearest point lies on the edge of the opposing scan
}

// Clear measures the room from a preparation to the opposing arch.
//
// At every vertex p inside the margin the clearance is the shortest distance to the
// opposing surface,
//
//	c(p) = ± min |p - q|,   q on the opposing arch,
//
// negative where p lies inside it. Beside it stands the distance along the
// insertion axis, which is never shorter. PatchMin is the level L at which the set
// {c ≤ L} first holds a connected patch of Options.PatchArea: one spike, or one
// cusp that needs a touch of the stone, must not order more cutting.
//
// Near the least values c is replaced by a local quadric fit ([surface.FitField]),
// because the least of many noisy values is biased low: by two to three standard
// deviations if raw. What remains is that a nearest point finds the bumps of the
// opposing scan: with 10 µm of noise on both scans and 0.1 mm spacing Min reads
// 11 µm low and PatchMin 8 µm (RMS 11 and 9 over 20 draws, 1 mm under a ball of 3 mm
// radius). It is not corrected, since it errs towards caution and depends on how the
// surfaces curve; it is counted in U.
//
// U joins the noise left by the fit, the sampling, the registration and, by far the
// largest, the bite: 0.1 mm unless Options says otherwise. Where no opposing
// surface lies within reach nothing is measured; that is no large clearance. Where
// it ends beside the preparation (NearEdge) a distance is an upper bound.
//
// Cost: O(V) nearest-point queries. Deterministic.
func Clear(in ClearanceInput) ClearanceResult {
	o := in.Options.withDefaults()
	c, why := newClearing(in, o)
	if why != "" {
		return notCleared(why, ClearanceResult{})
	}
	c.measure()
	res := ClearanceResult{Vertices: c.list(), NearEdge: c.nearEdge()}
	if !slices.ContainsFunc(c.short, finite) {
		return notCleared(fmt.Sprintf("no opposing surface lies within %.0f mm of the preparation", o.Reach), res)
	}
	short := c.fitted(c.short)
	res.Min = c.least(short, c.everywhere)
	res.PatchMin = c.patch(short, c.everywhere)
	res.AxisPatchMin = c.patch(c.along, c.everywhere)
	for z := range res.Zones {
		in := func(v int) bool { return c.zone[v] == Zone(z) }
		res.Zones[z] = ZoneClearance{Min: c.least(short, in), PatchMin: c.patch(short, in), Area: c.areaOf(in)}
	}
	res.FunctionalMin = res.Zones[Functional].Min
	return res
}

// notCleared returns res with every value missing for the same reason.
func notCleared(why string, res ClearanceResult) ClearanceResult {
	v := measure.Not(why)
	res.Min, res.PatchMin, res.FunctionalMin, res.AxisPatchMin = v, v, v, v
	for z := range res.Zones {
		res.Zones[z] = ZoneClearance{Min: v, PatchMin: v}
	}
	return res
}

func finite(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }

// clearing is the cut-out preparation with its distances.
type clearing struct {
	in     ClearanceInput
	o      ClearanceOptions
	m      *mesh.Mesh // faces inside the margin
	topo   *mesh.Topology
	id     []mesh.VertexID // of in.Prep
	normal []r3.Vec
	area   []float64
	gap    []gap
	short  []float64
	along  []float64
	zone   []Zone
	fine   float64 // mm, spacing of the preparation

	opposing *bvh.Tree // without crumbs
}

func newClearing(in ClearanceInput, o ClearanceOptions) (*clearing, string) {
	ring, ok := curve.NewRing(in.Margin, in.Axis)
	if !ok {
		return nil, "the margin line does not go round the tooth"
	}
	inside := in.Inside
	if inside == nil {
		inside = insideOf(ring, in.Prep, in.Topo)
	}
	if len(inside) == 0 {
		return nil, "no surface was found inside the margin line"
	}
	c := &clearing{in: in, o: o}
	c.m, c.id = facesOf(in.Prep, inside)
	c.topo = mesh.NewTopology(c.m)
	c.normal = surface.VertexNormals(c.m)
	c.area = surface.VertexAreas(c.m)
	c.fine = surface.Spacing(c.m)
	c.opposing = withoutCrumbs(in.Opposing, c.m.Box().Grow(o.Reach+movementReach))
	c.zone = zones(c.m, c.normal, ring, in.Holding, in.Front)
	return c, ""
}

// InsideMargin returns the faces of a preparation inside its margin, as [Clear] and [Move]
// find them where they are not told; nil where the line does not go round the tooth. topo
// may be nil.
func InsideMargin(prep *mesh.Mesh, topo *mesh.Topology, margin curve.Polyline, axis r3.Vec) []mesh.FaceID {
	ring, ok := curve.NewRing(margin, axis)
	if !ok {
		return nil
	}
	return insideOf(ring, prep, topo)
}

func insideOf(ring *curve.Ring, prep *mesh.Mesh, topo *mesh.Topology) []mesh.FaceID {
	if topo == nil {
		topo = mesh.NewTopology(prep)
	}
	return ring.Faces(prep, topo, prepHeight)
}

// facesOf returns the mesh of some faces and the ids of its vertices in m.
func facesOf(m *mesh.Mesh, faces []mesh.FaceID) (*mesh.Mesh, []mesh.VertexID) {
	keep := make([]bool, len(m.Tri))
	for _, f := range faces {
		keep[f] = true
	}
	sub, id, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return keep[f] })
	return sub, id
}

// fitRadius is the radius of the local fits: three rings of the mesh, some 37
// points. At 0.1 mm spacing that is as wide as two cusps of 2 mm radius come
// together within 0.05 mm.
func fitRadius(spacing float64) float64 { return 3.2 * spacing }

// measure takes both distances at every vertex.
func (c *clearing) measure() {
	g := newGauge(c.opposing, c.in.Axis)
	c.gap = g.measure(c.m.Pos, c.o.Reach)
	c.short = make([]float64, len(c.gap))
	c.along = make([]float64, len(c.gap))
	parallel(len(c.gap), func(i int) {
		c.short[i] = c.gap[i].d
		c.along[i] = along(g.tree, c.m.Pos[i], c.in.Axis, c.gap[i].d, c.o.Reach)
	})
}

// along returns the distance from p to the opposing surface along the axis: forwards
// where p is outside it, backwards and negative where it is inside.
func along(t *bvh.Tree, p, axis r3.Vec, d, reach float64) float64 {
	if d < 0 {
		if h, ok := t.Ray(p, axis.Neg(), 0, reach); ok {
			return -h.T
		}
		return d
	}
	if h, ok := t.Ray(p, axis, 0, reach); ok {
		return h.T
	}
	return math.Inf(1)
}

func (c *clearing) everywhere(int) bool { return true }

// list returns the map for the pictures; without distances before they are measured.
func (c *clearing) list() []ClearanceAt {
	out := make([]ClearanceAt, len(c.id))
	for i, v := range c.id {
		out[i] = ClearanceAt{Vertex: v, Zone: c.zone[i], Distance: math.Inf(1), Along: math.Inf(1)}
		if c.gap != nil {
			out[i].Distance, out[i].Along, out[i].Edge = c.short[i], c.along[i], c.gap[i].edge
		}
	}
	return out
}

// nearEdge returns the share of the measured area whose nearest point is at the edge
// of the opposing scan.
func (c *clearing) nearEdge() float64 {
	var edge, all float64
	for i, g := range c.gap {
		if finite(g.d) {
			all += c.area[i]
			if g.edge {
				edge += c.area[i]
			}
		}
	}
	if all == 0 {
		return 0
	}
	return edge / all
}

// fitted returns the field with the low part of each zone replaced by local fits, and
// +Inf above: no patch of interest lies there.
func (c *clearing) fitted(f []float64) []float64 {
	out := make([]float64, len(f))
	for v := range out {
		out[v] = math.Inf(1)
	}
	noise := math.Hypot(c.o.PrepSigma, c.o.OpposingSigma)
	in := make([]bool, len(f))
	for z := range Central + 1 {
		for v := range in {
			in[v] = c.zone[v] == z
		}
		low := surface.FitLow(c.m, c.topo, c.normal, c.area, f, in, c.o.PatchArea, fitMargin, fitRadius(c.fine), noise)
		for v, x := range low {
			out[v] = min(out[v], x)
		}
	}
	return out
}

func (c *clearing) areaOf(in func(int) bool) float64 {
	var a float64
	for v, x := range c.area {
		if in(v) {
			a += x
		}
	}
	return a
}

// least returns the least fitted value where in holds.
func (c *clearing) least(f []float64, in func(int) bool) measure.Value {
	best := -1
	for v, x := range f {
		if in(v) && finite(x) && (best < 0 || x < f[best]) {
			best = v
		}
	}
	if best < 0 {
		return measure.Not(fmt.Sprintf("no opposing surface lies within %.0f mm of this part of the preparation", c.o.Reach))
	}
	return c.value(f[best], mesh.VertexID(best))
}

// patch returns the level of the lowest patch where in holds.
func (c *clearing) patch(f []float64, in func(int) bool) measure.Value {
	masked := slices.Clone(f)
	for v := range masked {
		if !in(v) {
			masked[v] = math.Inf(1)
		}
	}
	p, ok := surface.LowPatch(c.topo, c.area, masked, c.o.PatchArea)
	if !ok {
		return measure.Not(fmt.Sprintf("less than %.1f mm² of this part of the preparation faces an opposing surface within %.0f mm", c.o.PatchArea, c.o.Reach))
	}
	return c.value(p.Level, p.Lowest)
}

// value dresses a number with its uncertainty and place.
func (c *clearing) value(x float64, v mesh.VertexID) measure.Value {
	return measure.Of(x, c.u(), measure.MM).At(measure.Place{At: c.m.Pos[v], Normal: c.normal[v], Scan: c.in.Scan})
}

// u returns the expanded uncertainty of a clearance.
//
// A fit over three rings leaves a third of the noise, at a rim about all of it; 0.6
// stands for both. On the opposing side a nearest point on a facet carries about the
// whole of one vertex, and its bias towards bumps is as large again: three standard
// deviations instead of two hold both. The sampling adds the height of a facet under a
// surface of 1 mm radius, s²/8.
func (c *clearing) u() float64 {
	noise := 3 * math.Hypot(0.6*c.o.PrepSigma, c.o.OpposingSigma)
	s := c.fine
	return math.Sqrt(noise*noise + s*s*s*s/64 + c.o.BiteU*c.o.BiteU + c.o.RegisterU*c.o.RegisterU)
}
