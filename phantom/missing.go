package phantom

import (
	"math"
	"slices"

	"selvage/bvh"
	"selvage/limit"
	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// onScan is how near to a scan a place of the true surface counts as shown, mm:
// three times the noise and the sagitta of a coarse mesh.
const onScan = 0.09

// surveyMargin finds the stretches of the true margin that the working scan does not
// hold, or that tissue hides. Not captured is a point that the scan does not reach or
// within max(0.1 mm, twice the spacing) of an edge of the data (methods.md §5).
func (b *build) surveyMargin(m *mesh.Mesh, tree *bvh.Tree) {
	pts := b.truth.Margin.Points
	edges := rimEdges(m, b.w.prepared.Center(), 12)
	near := math.Max(0.1, 2*b.truth.Margin.SpacingMm)
	state := make([]string, len(pts))
	solid.Parallel(len(pts), func(i int) {
		p := pts[i].Vec()
		switch {
		case b.buried != nil && b.buried(p):
			state[i] = "unclear"
		case !shown(tree, p) || nearEdge(edges, p, near):
			state[i] = "not-captured"
		}
	})
	for _, s := range runs(state) {
		b.addStretch(s)
	}
}

// nearby returns the part of a mesh about the prepared tooth: to the far side of its
// neighbours' contact areas.
func (b *build) nearby(m *mesh.Mesh) *mesh.Mesh {
	c := b.w.prepared.Center()
	reach := b.w.prepared.Form.Width/2 + b.w.prepared.Form.Height + 3
	out := &mesh.Mesh{Pos: m.Pos}
	for _, t := range m.Tri {
		if m.Pos[t[0]].Dist2(c) < reach*reach {
			out.Tri = append(out.Tri, t)
		}
	}
	return out
}

// shown reports whether the surface of a scan passes through p.
func shown(t *bvh.Tree, p r3.Vec) bool {
	_, ok := t.Nearest(p, onScan)
	return ok
}

// onSurface reports whether a scan shows p: its surface passes within d, and p does not lie
// beside an open edge of it by more than the sagitta of a facet.
func onSurface(t *bvh.Tree, p r3.Vec, d float64) bool {
	const pastRim = 0.015
	near, ok := t.Nearest(p, d)
	return ok && near.D <= d && (near.D <= pastRim || !t.OnRim(near))
}

// rimEdges returns the open edges of m within reach of c.
func rimEdges(m *mesh.Mesh, c r3.Vec, reach float64) [][2]r3.Vec {
	topo := mesh.NewTopology(m)
	var out [][2]r3.Vec
	for _, loop := range topo.Loops() {
		for _, h := range loop {
			t := m.Tri[h/3]
			a, b := m.Pos[t[h%3]], m.Pos[t[(h+1)%3]]
			if a.Dist2(c) < reach*reach {
				out = append(out, [2]r3.Vec{a, b})
			}
		}
	}
	return out
}

// nearEdge reports whether an edge passes p nearer than d.
func nearEdge(edges [][2]r3.Vec, p r3.Vec, d float64) bool {
	for _, e := range edges {
		along, from := e[1].Sub(e[0]), p.Sub(e[0])
		t := min(max(from.Dot(along)/along.Norm2(), 0), 1)
		if from.AddScaled(-t, along).Norm2() < d*d {
			return true
		}
	}
	return false
}

// run is a stretch of equal state around a closed line: indices from up to and
// including to, which may pass the last one.
type run struct {
	state    string
	from, to int
}

// runs returns the stretches whose state is not empty.
func runs(state []string) []run {
	n := len(state)
	start := -1
	for i := range n {
		if state[i] != state[(i+n-1)%n] {
			start = i
			break
		}
	}
	if start < 0 {
		if n == 0 || state[0] == "" {
			return nil
		}
		return []run{{state[0], 0, n - 1}}
	}
	var out []run
	for i := start; i < start+n; {
		j := i
		for j+1 < start+n && state[(j+1)%n] == state[i%n] {
			j++
		}
		if s := state[i%n]; s != "" {
			out = append(out, run{s, i % n, i%n + j - i})
		}
		i = j + 1
	}
	return out
}

// addStretch enters a stretch into the truth.
func (b *build) addStretch(s run) {
	m := &b.truth.Margin
	n := len(m.Points)
	length, corner := 0.0, false // each point stands for half the way to its neighbours
	for i := s.from; i <= s.to; i++ {
		p := m.Points[i%n].Vec()
		corner = corner || tooth.Surface(b.surfaceAt(p)).Corner()
		length += (p.Dist(m.Points[(i+1)%n].Vec()) + p.Dist(m.Points[(i+n-1)%n].Vec())) / 2
	}
	step := 360 / float64(n)
	mid := (s.from + s.to) / 2 % n
	m.Stretches = append(m.Stretches, Stretch{
		State: s.state, From: s.from, To: s.to,
		FromDeg: float64(s.from) * step, ToDeg: float64(s.to) * step,
		LengthMm: length, Surface: b.surfaceAt(m.Points[mid].Vec()), Corner: corner, At: m.Points[mid],
	})
	if s.state == "unclear" {
		m.UnclearMm += length
	} else {
		m.NotCapturedMm += length
	}
}

// surfaceAt names the surface of the prepared tooth on whose side p lies.
func (b *build) surfaceAt(p r3.Vec) string {
	q := b.w.prepared.Local(p)
	return string(tooth.SectorOf(q.X, q.Y))
}

// contact is the expected contact area on one neighbour: where it touched the tooth
// as it was.
type contact struct {
	side      string
	neighbour *mouth.Placed
	at        r3.Vec
}

// contacts returns the expected contact areas beside the prepared tooth.
func (w *world) contacts() []contact {
	var out []contact
	teeth := w.working.Teeth
	for i, t := range teeth {
		if t != w.prepared {
			continue
		}
		// teeth run from the other side's last to this side's last: mesial first,
		// since the prepared tooth stands on the canonical left.
		if i > 0 && !w.absent(teeth[i-1]) {
			out = append(out, w.contact("mesial", teeth[i-1]))
		}
		if i+1 < len(teeth) && !w.absent(teeth[i+1]) {
			out = append(out, w.contact("distal", teeth[i+1]))
		}
	}
	return out
}

// contact finds the point of the neighbour's surface closest to the whole prepared
// tooth.
func (w *world) contact(side string, n *mouth.Placed) contact {
	p := n.Center().Lerp(w.prepared.Center(), 0.5)
	q := p
	if s, ok := solid.Project(n.Field, p, 6); ok {
		p = s
	}
	if s, ok := solid.Project(w.prepared.Field, q, 6); ok {
		q = s
	}
	p, _, _ = refine(n.Field, w.prepared.Field, p, q, nil)
	return contact{side, n, p}
}

// contactHalf is half the size of a contact area, and contactHole the size of a hole
// in it that matters, mm (methods.md §10).
const (
	contactHalf = 1.0
	contactHole = 1.0
)

// surveyContacts looks whether the working scan shows the contact areas: points of
// the neighbour's true surface within contactHalf of the contact, on a raster of 0.1
// mm, against the scan.
func (b *build) surveyContacts(tree *bvh.Tree) {
	for _, c := range b.w.contacts() {
		f := c.neighbour.Field
		if b.w.gouged == c.neighbour { // what is left of it
			whole := f
			f = func(p r3.Vec) solid.Sample { return solid.Subtract(whole(p), b.w.gouge(p), gougeRound) }
		}
		n := f(c.at).N.UnitOr(r3.V(1, 0, 0))
		e1, e2 := n.Basis()
		missing := 0.0
		const step = 0.1
		for x := -contactHalf; x <= contactHalf; x += step {
			for y := -contactHalf; y <= contactHalf; y += step {
				if x*x+y*y > contactHalf*contactHalf {
					continue
				}
				p, ok := solid.Project(f, c.at.AddScaled(x, e1).AddScaled(y, e2), 1)
				if ok && !shown(tree, p) {
					missing += step * step
				}
			}
		}
		d := 2 * math.Sqrt(missing/math.Pi)
		truth := ContactTruth{
			Side: c.side, Tooth: c.neighbour.Form.Number.FDI(), Captured: d <= contactHole, At: pointOf(c.at),
			GapMm: b.w.gap(c.neighbour, b.truth.Margin.Points), PathOverlapMm: b.pathOverlap(c.neighbour),
			BulgeMm: b.bulge(c.neighbour),
		}
		if b.w.gouged == c.neighbour {
			truth.DamageMm = b.w.gougeDepth
		}
		b.truth.Contacts = append(b.truth.Contacts, truth)
		if d > contactHole {
			b.truth.Missing = append(b.truth.Missing, MissingTruth{
				Scan: Working, What: "contact area", Surface: c.side, At: pointOf(c.at), DiameterMm: d,
			})
		}
	}
}

// gap returns the shortest distance from the margin to a neighbour.
func (w *world) gap(n *mouth.Placed, margin []Point) float64 {
	least := math.Inf(1)
	for i := 0; i < len(margin); i += 2 {
		p := margin[i].Vec()
		// The field underestimates a distance but orders them well enough to skip by.
		if n.Field(p).D > least {
			continue
		}
		if q, ok := solid.Project(n.Field, p, 6); ok {
			least = min(least, closest(n.Field, p, q))
		}
	}
	return least
}

// closest returns the distance from p to the surface of f, from the start q on it, by
// the pattern search of [refine].
func closest(f solid.Field, p, q r3.Vec) float64 {
	point := func(x r3.Vec) solid.Sample {
		d := x.Sub(p)
		return solid.Sample{D: d.Norm() - pointRadius, N: d.UnitOr(r3.V(0, 0, 1))}
	}
	_, _, d := refine(point, f, p.AddScaled(pointRadius, q.Sub(p).UnitOr(r3.V(0, 0, 1))), q, nil)
	return d + pointRadius
}

// pointRadius is the radius of the ball that stands for a point, mm.
const pointRadius = 0.01

// pathOverlap returns how deep a neighbour reaches over the outline of the margin,
// seen along the insertion axis, where it stands higher than the margin: the distance
// from the outline across the axis, negative where all of it stays outside. The
// neighbour's sides are sampled every 0.1 mm or so, and a filling's every 0.4.
func (b *build) pathOverlap(n *mouth.Placed) float64 {
	var line outline
	wide := 0.0
	for k := range line {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(len(line)))
		rho, level := b.die.MarginOutline(math.Atan2(s, c))
		line[k] = r3.V(rho*c, rho*s, level)
		wide = max(wide, rho)
	}
	deepest := -2 * n.Form.Width // nothing of it stands so far away
	const rows, cols = 80, 90
	for i := range rows {
		z := n.Form.Height * float64(i) / (rows - 1)
		o, _ := n.Form.Body.At(z)
		for j := range cols {
			nu := 2 * math.Pi * float64(j) / cols
			s, c := math.Sincos(nu)
			h, _ := o.Support(nu)
			h1 := o.Turn(nu)
			p := b.die.Frame.Point(b.w.prepared.Local(n.Mouth.Point(r3.V(h*c-h1*s, h*s+h1*c, z))))
			if wide-math.Hypot(p.X, p.Y) <= deepest {
				continue
			}
			if depth, level := line.depth(p); level > 0 {
				deepest = max(deepest, depth)
			}
		}
	}
	if n.Form.Filling == nil {
		return deepest
	}
	for k := range sideColumns {
		for _, p := range b.facing(n, (float64(k)+0.5)/sideColumns-0.5) {
			p.X *= b.toward(n)
			if depth, level := line.depth(p); level > 0 {
				deepest = max(deepest, depth)
			}
		}
	}
	return deepest
}

// outline is the margin seen along the axis, by equal steps of azimuth.
type outline [720]r3.Vec

// depth returns how far inside the outline a point lies, negative outside, and how far
// above it.
func (o *outline) depth(p r3.Vec) (depth, above float64) {
	n := len(o)
	k := int(math.Round(math.Atan2(p.Y, p.X)/(2*math.Pi)*float64(n))) + n
	const aside = 100 // steps each way, 50°: beyond, the outline runs away from it
	above = p.Z - o[k%n].Z
	p.Z = 0
	d := math.Inf(1)
	for i := k - aside; i < k+aside; i++ {
		a, b := o[i%n], o[(i+1)%n]
		a.Z, b.Z = 0, 0
		ab := b.Sub(a)
		t := min(max(p.Sub(a).Dot(ab)/ab.Norm2(), 0), 1)
		d = min(d, p.Dist(a.Lerp(b, t)))
	}
	e := o[k%n]
	if e.X*e.X+e.Y*e.Y < p.Norm2() {
		d = -d
	}
	return d, above
}

// The survey of a neighbour's facing side.
const (
	sideColumns = 12  // over the middle half of the tooth
	sideStep    = 0.1 // mm, up the axis
	// sideTurned is the part of a normal along the axis from which a surface is biting
	// surface rather than side: 37° from level, as where the bulge is measured.
	sideTurned = 0.8
)

// bulge returns how far what lies over two thirds of the height of a back neighbour's
// facing side, from the crest of its gum to where it turns to the biting surface, stands
// out towards the gap before all below, seen along the insertion axis, in columns over
// the middle half of its width; 0 where nothing does or on a front tooth, which meets its
// neighbour near the edge. Crest and turn are the medians over the columns.
func (b *build) bulge(n *mouth.Placed) float64 {
	if n.Form.Number.Front() {
		return 0
	}
	var side [sideColumns][]r3.Vec
	var feet, tops []float64
	for k := range side {
		side[k] = b.facing(n, (float64(k)+0.5)/sideColumns-0.5)
		if m := len(side[k]); m > 0 {
			feet, tops = append(feet, side[k][0].Z), append(tops, side[k][m-1].Z)
		}
	}
	if len(feet) == 0 {
		return 0
	}
	slices.Sort(feet)
	slices.Sort(tops)
	foot, top := feet[len(feet)/2], tops[len(tops)/2]
	split := foot + (top-foot)*2/3
	most := 0.0
	for _, column := range side {
		above, below := math.Inf(-1), math.Inf(-1)
		for _, p := range column {
			if p.Z > split {
				above = max(above, p.X)
			} else {
				below = max(below, p.X)
			}
		}
		if !math.IsInf(below, -1) {
			most = max(most, above-below)
		}
	}
	return most
}

// toward is the sign of x, in the frame of the die, that leads from a neighbour to the gap.
func (b *build) toward(n *mouth.Placed) float64 {
	return -math.Copysign(1, b.die.Frame.Point(b.w.prepared.Local(n.Center())).X)
}

// facing follows a neighbour's side that faces the gap, at a share of half its breadth
// from its middle, from the crest of its gum up to where it turns to the biting surface.
// Points are in the frame of the die, but x grows towards the gap. The side is that of
// the whole tooth, which is rounded where it runs into the biting surface and reaches
// higher there than its sides alone.
func (b *build) facing(n *mouth.Placed, share float64) []r3.Vec {
	toDie := b.die.Frame.After(b.w.prepared.Mouth.Inverse())
	toMouth := toDie.Inverse()
	mid := toDie.Point(n.Center())
	toward := b.toward(n)
	y := mid.Y + share*n.Form.Depth/2
	collar := b.w.working.Collar(n)
	var out []r3.Vec
	for z := mid.Z - n.Form.Height; z < mid.Z+n.Form.Height; z += sideStep {
		in, free := mid.X, mid.X+toward*n.Form.Width
		at := func(x float64) r3.Vec { return toMouth.Point(r3.V(x, y, z)) }
		if n.Field(at(in)).D > 0 {
			continue // over the tooth, or beside it
		}
		for range 20 { // to a hundredth of a micrometre
			if x := (in + free) / 2; n.Field(at(x)).D > 0 {
				free = x
			} else {
				in = x
			}
		}
		p := at(in)
		if collar.Depth(p) > 0 {
			continue
		}
		if toDie.Dir(n.Field(p).N.UnitOr(r3.Vec{})).Z > sideTurned {
			break
		}
		out = append(out, r3.V(in*toward, y, z))
	}
	return out
}

// surveyRoot measures how far down the root the working scan goes on below the margin:
// the way down the tooth's side until it ends, meets the gum, or 2 mm are seen, at its
// least where the margin itself is shown and besideStretch from where it is not, after a median over 3° each way, in which a
// pinhole does not count. NaN where no margin is shown.
func (b *build) surveyRoot(tree *bvh.Tree) {
	w := b.w
	n := len(b.truth.Margin.Points)
	hidden := make([]bool, n)
	for _, s := range b.truth.Margin.Stretches {
		beside := int(besideStretch / b.truth.Margin.LengthMm * float64(n))
		for i := s.From - beside; i <= s.To+beside; i++ {
			hidden[(i+n)%n] = true
		}
	}
	const every, reach = 2, 3 // points of half a degree, and places each way
	seen := make([]float64, n/every)
	solid.Parallel(len(seen), func(k int) {
		seen[k] = math.NaN()
		if hidden[k*every] {
			return
		}
		p := w.prepared.Local(b.truth.Margin.Points[k*every].Vec())
		depth := 0.0
		for depth < 2 {
			q, ok := solid.Project(w.stump.Local, p.Sub(r3.V(0, 0, depth+rootStep)), 0.5)
			at := w.prepared.Mouth.Point(q)
			if !ok || !onSurface(tree, at, onRoot) || w.tissueNow.At(at).D < 0 {
				break
			}
			depth += rootStep
		}
		seen[k] = depth
	})
	least := math.NaN()
	for k := range seen {
		var near []float64
		for d := -reach; d <= reach; d++ {
			if v := seen[(k+d+len(seen))%len(seen)]; !math.IsNaN(v) {
				near = append(near, v)
			}
		}
		if len(near) <= reach || math.IsNaN(seen[k]) {
			continue
		}
		slices.Sort(near)
		if v := near[len(near)/2]; !(v >= least) {
			least = v
		}
	}
	b.truth.Margin.RootSeenMm = least
}

// besideStretch is how far beside a doubtful stretch nothing is measured, mm (methods.md
// §5).
const besideStretch = 0.5

// rootStep is the step down the root, and onRoot how near the scan must pass, mm.
const rootStep, onRoot = 0.025, 0.05

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
