package reduction

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"selvage/curve"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// defaultSigma stands in for a scan noise that is not known, mm: published noise
// floors of scanners on a flat are 5-13 µm.
const defaultSigma = 0.01

// prepHeight bounds how far above its margin a preparation reaches, mm.
const prepHeight = 15.0

func (o Options) withDefaults() Options {
	o.PrepSigma = cmp.Or(max(o.PrepSigma, 0), defaultSigma)
	o.BeforeSigma = cmp.Or(max(o.BeforeSigma, 0), defaultSigma)
	o.Reach = cmp.Or(o.Reach, 5)
	o.PatchArea = cmp.Or(o.PatchArea, 0.5)
	o.AxialFrom = cmp.Or(o.AxialFrom, 1.5)
	return o
}

// Measure reports how much was cut away, at every vertex inside the margin:
//
//	along the normal   t ≥ 0 with p + t·n on the old surface
//	along the axis     t ≥ 0 with p + t·a on the old surface
//
// and negative where p stands proud of the old surface: then the ray is cast the
// other way. The least of each zone is the level of a connected patch of
// Options.PatchArea over locally fitted values ([surface.FitField],
// [surface.LowPatch]), so that no stray point decides.
//
// Zones: occlusal is what faces the axis within 60° in the upper half of the
// preparation, 0.5 mm inside its line angle, where the walls begin; axial are the walls from
// Options.AxialFrom above the margin to the line angle; the rest, near the margin, is
// the finish line's. Of a front tooth the occlusal zone is the whole edge, in the upper
// quarter, which is all line angle; its lingual hollow is a wall. Functional is the third of the occlusal
// table on the side of the holding cusp, as for clearance.
//
// A zone whose old surface is missing is not measured. Low on a wall the scan from
// before may show the gum that lay over the tooth: what slopes away from the tooth less
// than 2.5 mm above the margin is taken for gum and left out. U joins the noise that the fit leaves, the sampling
// and the registration.
//
// Cost: two rays per vertex. Deterministic.
func Measure(in Input) Result {
	o := in.Options.withDefaults()
	c, why := newCut(in, o)
	if why != "" {
		v := measure.Not(why)
		return Result{OcclusalMin: v, AxialMin: v, OcclusalPoint: v, AxialPoint: v, OcclusalAlong: v, Functional: v}
	}
	occlusal := c.fitted(c.normal, func(v int) bool { return c.zone[v] == Occlusal })
	axial := c.fitted(c.normal, func(v int) bool { return c.zone[v] == Axial })
	return Result{
		OcclusalMin:   c.withBorder(c.withRim(c.patch(occlusal), Occlusal)),
		AxialMin:      c.withRim(c.patch(axial), Axial),
		OcclusalPoint: c.least(occlusal),
		AxialPoint:    c.least(axial),
		OcclusalAlong: c.patch(c.fitted(c.along, func(v int) bool { return c.zone[v] == Occlusal })),
		Functional:    c.patch(c.fitted(c.normal, c.onHolding)),
		OcclusalSeen:  c.seen(Occlusal),
		AxialSeen:     c.seen(Axial),
		Vertices:      c.list(),
	}
}

// cut is the preparation's surface inside the margin with its distances to the old
// surface.
type cut struct {
	in     Input
	o      Options
	ring   *curve.Ring
	m      *mesh.Mesh
	topo   *mesh.Topology
	id     []mesh.VertexID
	n      []r3.Vec
	area   []float64
	zone   []Zone
	normal []float64
	along  []float64

	functional []bool // the third of the holding cusp
	high       []bool // where a surface that faces the axis is occlusal
}

func newCut(in Input, o Options) (*cut, string) {
	if in.Before == nil || len(in.Before.Mesh.Tri) == 0 {
		return nil, "no scan from before the preparation"
	}
	ring, ok := curve.NewRing(in.Margin, in.Axis)
	if !ok {
		return nil, "the margin line does not go round the tooth"
	}
	inside := in.Inside
	if inside == nil {
		topo := in.Topo
		if topo == nil {
			topo = mesh.NewTopology(in.Prep)
		}
		inside = ring.Faces(in.Prep, topo, prepHeight)
	}
	if len(inside) == 0 {
		return nil, "no surface was found inside the margin line"
	}
	keep := make([]bool, len(in.Prep.Tri))
	for _, f := range inside {
		keep[f] = true
	}
	c := &cut{in: in, o: o, ring: ring}
	c.m, c.id, _ = mesh.Submesh(in.Prep, func(f mesh.FaceID) bool { return keep[f] })
	c.topo = mesh.NewTopology(c.m)
	c.n = surface.VertexNormals(c.m)
	c.area = surface.VertexAreas(c.m)
	c.steady()
	c.divide()
	c.cast()
	return c, ""
}

// cast measures both distances at every vertex, in the frame of the old scan.
func (c *cut) cast() {
	c.normal = make([]float64, len(c.m.Pos))
	c.along = make([]float64, len(c.m.Pos))
	back := c.in.WorkingFromBefore.Inverse()
	axis := back.Dir(c.in.Axis)
	workers := min(runtime.GOMAXPROCS(0), max(1, len(c.m.Pos)/512))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			n := len(c.m.Pos)
			for v := w * n / workers; v < (w+1)*n/workers; v++ {
				p := back.Point(c.m.Pos[v])
				c.along[v], _ = c.reach(p, axis)
				t, face := c.reach(p, back.Dir(c.n[v]))
				if c.zone[v] == Axial && c.gum(p.AddScaled(t, back.Dir(c.n[v])), face, axis) {
					t = math.NaN()
				}
				c.normal[v] = t
			}
		})
	}
	wg.Wait()
}

// reach returns the distance from p along d to the old surface, seen from inside it,
// and the face; negative where p is outside it; NaN where it is not met.
func (c *cut) reach(p, d r3.Vec) (float64, mesh.FaceID) {
	m := c.in.Before.Mesh
	if h, ok := c.in.Before.Ray(p, d, 0, c.o.Reach); ok && m.AreaVector(h.Face).Dot(d) > 0 {
		return h.T, h.Face
	}
	if h, ok := c.in.Before.Ray(p, d.Neg(), 0, proud); ok && m.AreaVector(h.Face).Dot(d) > 0 {
		return -h.T, h.Face
	}
	return math.NaN(), mesh.None
}

const (
	// gumHeight is how far above the margin the gum may have stood before it was
	// pressed back, mm: a papilla's height over the margin beside it.
	gumHeight = 2.5

	// gumFacing is the least cosine between the gum's normal and the axis there: 70°.
	// It slopes away from the tooth; the tooth's own wall, below its height of contour,
	// stands upright or leans over.
	gumFacing = 0.35
)

// gum reports whether a wall's counterpart on the old surface is gum that lay against
// the tooth, and says nothing of what was cut.
func (c *cut) gum(q r3.Vec, face mesh.FaceID, axis r3.Vec) bool {
	if face == mesh.None {
		return false
	}
	h, _ := c.ring.Above(c.in.WorkingFromBefore.Point(q))
	n, ok := c.in.Before.Mesh.AreaVector(face).Unit()
	return ok && h < gumHeight && n.Dot(axis) > gumFacing
}

// proud is how far, mm, a preparation may stand out of the old surface and still be
// compared with it; more is a build-up or another tooth.
const proud = 1.5

// fitMargin is how far above the raw level of a patch values are fitted, mm: five
// standard deviations of the noisiest scan that is measured at all, 0.02 mm.
const fitMargin = 0.1

// fitted returns the low part of the field in a zone, fitted to the zone alone:
// across the line angle the field has a kink. The rest is +Inf. The fit is not told the
// noise, which here depends on the slant of the rays.
func (c *cut) fitted(f []float64, in func(v int) bool) []float64 {
	own := slices.Clone(f)
	for v := range own {
		if !in(v) {
			own[v] = math.NaN()
		}
	}
	radius := 3.2 * surface.Spacing(c.m) // three rings
	return surface.FitLow(c.m, c.topo, c.n, c.area, own, nil, c.o.PatchArea, fitMargin, radius, 0)
}

// seen returns the share of a zone's area that meets the old surface.
func (c *cut) seen(z Zone) float64 {
	var met, all float64
	for v, own := range c.zone {
		if own != z {
			continue
		}
		all += c.area[v]
		if !math.IsNaN(c.normal[v]) {
			met += c.area[v]
		}
	}
	if all == 0 {
		return 0
	}
	return met / all
}

func (c *cut) list() []At {
	out := make([]At, len(c.id))
	for i, v := range c.id {
		out[i] = At{Vertex: v, Zone: c.zone[i], Normal: c.normal[i], Along: c.along[i]}
	}
	return out
}

const noOldSurface = "the scan from before does not show the old surface of this part of the tooth"

// least returns the least value.
func (c *cut) least(f []float64) measure.Value {
	best := 0
	for v, x := range f {
		if x < f[best] {
			best = v
		}
	}
	if len(f) == 0 || math.IsInf(f[best], 1) {
		return measure.Not(noOldSurface)
	}
	return c.value(f[best], mesh.VertexID(best))
}

// patch returns the level of the lowest patch.
func (c *cut) patch(f []float64) measure.Value {
	p, ok := surface.LowPatch(c.topo, c.area, f, c.o.PatchArea)
	if !ok {
		return measure.Not(noOldSurface)
	}
	return c.value(p.Level, p.Lowest)
}

// placeU is how well the least of a zone is known, mm, for where the zone ends and where
// in it the least lies; as phantoms show.
const placeU = 0.04

func (c *cut) value(x float64, v mesh.VertexID) measure.Value {
	noise := 2 * math.Hypot(0.6*c.o.PrepSigma, c.o.BeforeSigma)
	s := surface.Spacing(c.m)
	u := math.Sqrt(noise*noise + s*s*s*s/64 + c.o.RegisterU*c.o.RegisterU + placeU*placeU)
	return measure.Of(x, u, measure.MM).At(measure.Place{At: c.m.Pos[v], Normal: c.n[v], Scan: c.in.Scan})
}
