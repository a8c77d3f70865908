package phantom

import (
	"math"
	"slices"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/mesh"
	"selvage/phantom/solid"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// survey takes the whole truth about the restoration. Coordinates are canonical;
// [Restoration.moved] turns them into those of a scan.
func (w *world) survey(d *stump.Sections, working *mesh.Mesh, opposing *bvh.Tree) (Restoration, *removed) {
	mouth := w.prepared.Mouth
	die := d.Frame.Inverse()
	dir := func(v r3.Vec) Point { return pointOf(mouth.Dir(die.Dir(v))) }
	r := Restoration{
		Tooth:         w.spec.Tooth.FDI(),
		InsertionAxis: dir(r3.V(0, 0, 1)), Mesial: dir(r3.V(1, 0, 0)), Buccal: dir(r3.V(0, 1, 0)),
		ConvergenceMDDeg: d.Convergence(0), ConvergenceBLDeg: d.Convergence(math.Pi / 2),
		ConvergenceDiagDeg: [2]float64{d.Convergence(math.Pi / 4), d.Convergence(3 * math.Pi / 4)},
		ConvergenceMeanDeg: d.MeanConvergence(),
		WallHeightMm:       Quarters(d.Heights()),
		BaseMm:             d.Base(),
		Resistance:         d.Resistance(),
	}
	r.WallHeightMinMm = r.WallHeightMm.Min()
	r.HeightToBase = r.WallHeightMinMm / r.BaseMm
	r.FinishLine.Kind = w.spec.Stump.FinishLine
	r.FinishLine.WidthMinMm, r.FinishLine.WidthMedianMm = d.Widths()
	for i, p := range d.Margin {
		r.Margin.Points = append(r.Margin.Points, pointOf(mouth.Point(p)))
		r.Margin.LengthMm += p.Dist(d.Margin[(i+1)%len(d.Margin)])
	}
	depth, area, at := w.stump.Undercut()
	r.UndercutDepthMm, r.UndercutAreaMm2 = Located{depth, pointOf(mouth.Point(at))}, area

	none := Located{Value: math.NaN()}
	r.ClearanceMinMm, r.ClearancePatchMinMm, r.ClearanceFunctionalMm = none, none, none
	r.ClearanceFunctionalPatchMm, r.ClearanceIncisalMm, r.ClearanceLingualMm = none, none, none
	room := w.newRoom(working, opposing)
	zone := w.newZones(d, room)
	r.EdgeRadiusMm = w.stump.SharpEdge(w.bentPlaces(d, room))
	if opposing != nil {
		w.surveyClearance(&r, room, zone)
	}
	r.Margin.RoughnessUm = 1000 * roughness(r.Margin.Points)
	return r, w.surveyRemoved(room, zone)
}

// zones are the parts of the preparation as the analyses divide it (methods.md §8,
// §9): the occlusal table is what faces the axis within 60° in the upper half above the
// margin's centroid; the
// functional zone the third of its width on the side of the holding cusp; the
// occlusal zone of reduction the table 0.5 mm inside its line angle; the axial zone
// the walls from 1.5 mm above the margin, below which a scan shows gum for tooth.
// A front tooth has an edge, which faces the axis within 45°, and the side that meets
// the opposing tooth; its occlusal zone of reduction is what faces the axis within 60° in
// the upper quarter, the line angle with it, and its lingual hollow is a wall.
type zones struct {
	functional, occlusal, axial, edge, meeting []bool

	holding func(p r3.Vec) bool // whether a point, canonical, is in the functional zone
}

const (
	tableFacing = 0.5  // cosine of 60°
	tableFrom   = 0.5  // shares of the height of the preparation
	edgeFrom    = 0.75 // of a front tooth
	axialFrom   = 1.5
	besideEdge  = 0.5
)

func (w *world) newZones(d *stump.Sections, r *room) *zones {
	n := len(r.inside)
	z := &zones{
		functional: make([]bool, n), occlusal: make([]bool, n), axial: make([]bool, n),
		edge: make([]bool, n), meeting: make([]bool, n),
	}
	holding := 1.0 // towards buccal: the holding cusps of the lower teeth
	if w.spec.Tooth.Jaw() == tooth.Upper {
		holding = -1
	}
	local := make([]r3.Vec, n)
	up, height, out := make([]float64, n), make([]float64, n), make([]float64, n)
	top, lo, hi := 0.0, math.Inf(1), math.Inf(-1)
	for i := range n {
		if r.inside[i] {
			local[i] = d.Frame.Point(w.prepared.Local(r.m.Pos[i]))
			normal := d.Frame.Dir(w.prepared.Mouth.R.T().Apply(r.normal[i]))
			up[i], out[i] = normal.Z, normal.Y
			height[i] = local[i].Z - d.MarginZ(local[i])
			top = max(top, local[i].Z)
		}
	}
	for i := range n {
		if r.inside[i] && up[i] > tableFacing && local[i].Z > top/2 {
			lo, hi = min(lo, holding*local[i].Y), max(hi, holding*local[i].Y)
		}
	}
	from := tableFrom
	if w.spec.Tooth.Front() {
		from = edgeFrom
	}
	z.holding = func(p r3.Vec) bool {
		return holding*d.Frame.Point(w.prepared.Local(p)).Y > hi-(hi-lo)/3
	}
	for i := range n {
		if !r.inside[i] {
			continue
		}
		z.functional[i] = z.holding(r.m.Pos[i])
		if w.spec.Tooth.Front() && height[i] > axialFrom {
			z.edge[i] = up[i] > math.Sqrt2/2
			z.meeting[i] = !z.edge[i] && holding*out[i] >= 0
		}
		switch {
		case up[i] > tableFacing && local[i].Z > top*from && height[i] > axialFrom:
			z.occlusal[i] = true
		case height[i] > axialFrom && (up[i] <= tableFacing || w.spec.Tooth.Front()):
			z.axial[i] = true
		}
	}
	if !w.spec.Tooth.Front() {
		z.trim(r)
	}
	return z
}

// trim takes the line angle out of the occlusal zone: what lies within besideEdge of
// where the walls begin. A zone so narrow that less than two patches would be left keeps
// it.
func (z *zones) trim(r *room) {
	var edge []r3.Vec
	for _, t := range r.m.Tri {
		if z.occlusal[t[0]] || z.occlusal[t[1]] || z.occlusal[t[2]] {
			for _, v := range t {
				if z.axial[v] {
					edge = append(edge, r.m.Pos[v])
				}
			}
		}
	}
	inner := make([]bool, len(z.occlusal))
	for i, in := range z.occlusal {
		inner[i] = in && nearest(edge, r.m.Pos[i]) > besideEdge
	}
	area := 0.0
	for f, t := range r.m.Tri {
		if inner[t[0]] && inner[t[1]] && inner[t[2]] {
			area += r.m.AreaVector(mesh.FaceID(f)).Norm()
		}
	}
	if area >= 2*patchArea {
		z.occlusal = inner
	}
}

// edgeClear is how far from the margin, which is an edge by intention, an edge of the
// preparation lies, mm, and bentFrom the curvature, 1/mm, from which it is looked for.
const (
	edgeClear = 0.6
	bentFrom  = 1 / 0.9
)

// crestReach is how far across an edge, mm, a vertex must be the most bent to be looked at.
const crestReach = 0.25

// bentPlaces lists the vertices of the preparation, in the tooth's frame, at which the
// surface bends outwards the most across an edge, clear of the margin.
func (w *world) bentPlaces(d *stump.Sections, r *room) []r3.Vec {
	ring := make([][]mesh.VertexID, len(r.m.Pos))
	for _, t := range r.m.Tri {
		for i := range 3 {
			if a, b := t[i], t[(i+1)%3]; r.inside[a] && r.inside[b] {
				ring[a], ring[b] = append(ring[a], b), append(ring[b], a)
			}
		}
	}
	var line []r3.Vec
	for i := 0; i < len(d.Margin); i += 2 {
		line = append(line, d.Margin[i])
	}
	var at []mesh.VertexID
	var bend []float64
	var across []r3.Vec
	for v := range ring {
		k, dir := r.bend(mesh.VertexID(v), ring[v])
		if k > bentFrom && nearest(line, w.prepared.Local(r.m.Pos[v])) > edgeClear {
			at, bend, across = append(at, mesh.VertexID(v)), append(bend, k), append(across, dir)
		}
	}
	var out []r3.Vec
	for i, v := range at {
		most := true
		for k, o := range at {
			d := r.m.Pos[o].Sub(r.m.Pos[v])
			if bend[k] > bend[i] && d.Norm2() < crestReach*crestReach && math.Abs(d.Dot(across[i])) > d.Norm()*math.Sqrt2/2 {
				most = false
				break
			}
		}
		if most {
			out = append(out, w.prepared.Local(r.m.Pos[v]))
		}
	}
	return out
}

// bend returns the greater principal curvature of the surface at a vertex, 1/mm, by least
// squares over how the normal turns along the edges to its ring, and its direction.
func (r *room) bend(v mesh.VertexID, ring []mesh.VertexID) (k float64, dir r3.Vec) {
	e1, e2 := r.normal[v].Basis()
	var m [3][3]float64
	var b [3]float64
	for _, o := range ring {
		e := r.m.Pos[o].Sub(r.m.Pos[v])
		x, y := e.Dot(e1), e.Dot(e2)
		l2 := x*x + y*y
		if l2 == 0 {
			continue
		}
		row := [3]float64{x * x / l2, 2 * x * y / l2, y * y / l2}
		turn := r.normal[o].Sub(r.normal[v]).Dot(e) / l2
		for i := range 3 {
			for j := range 3 {
				m[i][j] += row[i] * row[j]
			}
			b[i] += row[i] * turn
		}
	}
	c, ok := num.Solve3(m, b)
	if !ok {
		return 0, r3.Vec{}
	}
	s, co := math.Sincos(math.Atan2(c[1], (c[0]-c[2])/2) / 2)
	return (c[0]+c[2])/2 + math.Hypot((c[0]-c[2])/2, c[1]), e1.Scale(co).AddScaled(s, e2)
}

func nearest(pts []r3.Vec, p r3.Vec) float64 {
	d := math.Inf(1)
	for _, q := range pts {
		d = min(d, q.Dist2(p))
	}
	return math.Sqrt(d)
}

// patchArea is the area over which a least value must hold to count, mm².
const patchArea = 0.5

func (w *world) surveyClearance(r *Restoration, room *room, z *zones) {
	any := func(int) bool { return true }
	r.ClearanceMinMm = w.closest(room, any, nil)
	patch := func(counts func(int) bool) Located {
		level, at, ok := room.patch(room.dist, counts, patchArea)
		if !ok {
			return Located{Value: math.NaN()}
		}
		return Located{level, pointOf(room.m.Pos[at])}
	}
	r.ClearancePatchMinMm = patch(any)
	if w.spec.Tooth.Front() {
		r.ClearanceIncisalMm = patch(func(i int) bool { return z.edge[i] })
		r.ClearanceLingualMm = patch(func(i int) bool { return z.meeting[i] })
		// A front tooth's functional side is the one that meets the antagonist.
		r.ClearanceFunctionalMm = w.closest(room, func(i int) bool { return z.meeting[i] }, func(r3.Vec) bool { return false })
		return
	}
	r.ClearanceFunctionalMm = w.closest(room, func(i int) bool { return z.functional[i] }, z.holding)
	r.ClearanceFunctionalPatchMm = patch(func(i int) bool { return z.functional[i] })
}

// closest returns the exact least clearance among the vertices that count, within the
// part of the preparation where within holds (nil: all of it).
func (w *world) closest(room *room, counts func(i int) bool, within func(r3.Vec) bool) Located {
	i := room.least(room.dist, counts)
	if i < 0 {
		return Located{Value: math.NaN()}
	}
	p, _, d := refine(w.stump.Field, w.opposingSceneAt(room.foot[i]), room.m.Pos[i], room.foot[i], within)
	return Located{d, pointOf(p)}
}

// opposingSceneAt returns the field of the opposing jaw for points near p.
func (w *world) opposingSceneAt(p r3.Vec) solid.Field {
	s, ok := w.opposingScene().Near(p, 3)
	if !ok {
		return w.opposingScene().At
	}
	return s.At
}

// removed is what was cut away at every vertex of the occlusal and the axial zone: along
// the normal from the stump to the tooth as it was.
type removed struct {
	room  *room
	zone  *zones
	depth []float64
	old   []r3.Vec // where the normal meets the old surface, canonical
}

func (w *world) surveyRemoved(room *room, z *zones) *removed {
	n := len(room.inside)
	c := &removed{room: room, zone: z, depth: make([]float64, n), old: make([]r3.Vec, n)}
	solid.Parallel(n, func(i int) {
		c.depth[i] = math.Inf(1)
		if z.occlusal[i] || z.axial[i] {
			c.depth[i] = along(w.prepared.Field, room.m.Pos[i], room.normal[i])
			c.old[i] = room.m.Pos[i].AddScaled(c.depth[i], room.normal[i])
		}
	})
	return c
}

// into enters the reduction into the truth: the least over a connected patch of 0.5 mm² of
// each zone, as far as the scan from before shows the old surface (methods.md §8). The side
// that faced a neighbour, and what stood under the gum, is on no such scan. Without one
// (nil) all of the zone counts.
func (c *removed) into(r *Restoration, before *bvh.Tree) {
	depth := slices.Clone(c.depth)
	if before != nil {
		solid.Parallel(len(depth), func(i int) {
			if !math.IsInf(depth[i], 1) && !onSurface(before, c.old[i], onScan) {
				depth[i] = math.Inf(1)
			}
		})
	}
	take := func(in func(i int) bool) Located {
		level, at, ok := c.room.patch(depth, in, patchArea)
		if !ok {
			return Located{Value: math.NaN()}
		}
		return Located{level, pointOf(c.room.m.Pos[at])}
	}
	z := c.zone
	r.ReductionOcclusalMm = take(func(i int) bool { return z.occlusal[i] })
	r.ReductionFunctionalMm = take(func(i int) bool { return z.occlusal[i] && z.functional[i] })
	r.ReductionAxialMm = take(func(i int) bool { return z.axial[i] })
}

// along returns the distance from p along the unit vector n to the surface of f, by
// steps of the field's value: p is inside.
func along(f solid.Field, p, n r3.Vec) float64 {
	t := 0.0
	for range 60 {
		s := f(p.AddScaled(t, n))
		if math.Abs(s.D) < 1e-7 {
			return t
		}
		rate := s.N.Dot(n)
		if rate < 0.3 { // oblique or turned away: go by the value itself
			rate = 1
		}
		t -= s.D / rate
		if t > 6 || t < -1 {
			break
		}
	}
	return math.Inf(1)
}

// roughness returns the RMS distance of a closed line from its own running mean over
// 1 mm.
func roughness(line []Point) float64 {
	n := len(line)
	step := 0.0
	for i := range n {
		step += line[i].Vec().Dist(line[(i+1)%n].Vec())
	}
	step /= float64(n)
	half := max(int(math.Round(0.5/step)), 1)
	sum := 0.0
	for i := range n {
		var mean r3.Vec
		for k := -half; k <= half; k++ {
			mean = mean.Add(line[(i+k+n)%n].Vec())
		}
		sum += mean.Scale(1 / float64(2*half+1)).Dist2(line[i].Vec())
	}
	return math.Sqrt(sum / float64(n))
}

// moved returns the truth in another frame.
func (r Restoration) moved(g r3.Rigid) Restoration {
	pt := func(p *Point) { *p = pointOf(g.Point(p.Vec())) }
	for _, d := range []*Point{&r.InsertionAxis, &r.Mesial, &r.Buccal} {
		*d = pointOf(g.Dir(d.Vec()))
	}
	for _, l := range []*Located{
		&r.UndercutDepthMm, &r.ClearanceMinMm, &r.ClearancePatchMinMm, &r.ClearanceFunctionalMm,
		&r.ClearanceFunctionalPatchMm, &r.ClearanceIncisalMm, &r.ClearanceLingualMm,
		&r.ReductionOcclusalMm, &r.ReductionFunctionalMm, &r.ReductionAxialMm,
	} {
		pt(&l.At)
	}
	r.Margin.Points = append([]Point(nil), r.Margin.Points...)
	for i := range r.Margin.Points {
		pt(&r.Margin.Points[i])
	}
	r.Margin.Stretches = append([]Stretch{}, r.Margin.Stretches...) // empty, not null, in JSON
	for i := range r.Margin.Stretches {
		pt(&r.Margin.Stretches[i].At)
	}
	r.Contacts = append([]ContactTruth{}, r.Contacts...)
	for i := range r.Contacts {
		pt(&r.Contacts[i].At)
	}
	r.Missing = append([]MissingTruth{}, r.Missing...)
	for i := range r.Missing {
		pt(&r.Missing[i].At)
	}
	return r
}
