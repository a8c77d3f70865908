package phantom

import (
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/phantom/solid"
	"selvage/r3"
)

// cutHole drops the vertices of the working scan for which gone is true.
func (m *made) cutHole(gone func(p r3.Vec) bool) {
	ok := make([]bool, len(m.mesh.Pos))
	for i, p := range m.mesh.Pos {
		ok[i] = !gone(p)
	}
	m.mesh = keepVertices(m.mesh, ok)
}

// loseMargin cuts a hole over v mm of the margin.
func loseMargin(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil {
		return nil
	}
	mid, half, err := b.arc(v)
	if err != nil {
		return err
	}
	const reach = 0.4 // mm to each side of the line
	half = math.Max(half-reach/5, 0.02)
	var line []r3.Vec
	for k := -20; k <= 20; k++ {
		p, err := b.w.stump.MarginAt(mid + half*float64(k)/20)
		if err != nil {
			return err
		}
		line = append(line, b.w.prepared.Mouth.Point(p))
	}
	m.cutHole(func(p r3.Vec) bool {
		return p.Dist(line[20]) < v+2 && nearest(line, p) < reach
	})
	return nil
}

// loseContact cuts a hole of v mm into a neighbour's contact area.
func loseContact(b *build, v float64) error {
	m := b.scan(Working)
	c := b.w.contacts()
	if m == nil || len(c) == 0 {
		return nil
	}
	at := c[b.rng.IntN(len(c))]
	m.cutHole(func(p r3.Vec) bool {
		return p.Dist(at.at) < v/2+0.1 && math.Abs(at.neighbour.Field(p).D) < 0.3
	})
	return nil
}

// onWall is a point in the middle of a wall of the stump.
func (b *build) onWall() (r3.Vec, error) {
	p, err := b.w.stump.MarginAt(b.rng.Float64() * 2 * math.Pi)
	if err != nil {
		return r3.Vec{}, err
	}
	q := p.Add(r3.V(0, 0, 2.2))
	q.X, q.Y = q.X*0.75, q.Y*0.75
	q, _ = solid.Project(b.w.stump.Local, q, 2)
	return b.w.prepared.Mouth.Point(q), nil
}

// loseSurface cuts a hole of v mm into a wall of the stump.
func loseSurface(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil {
		return nil
	}
	at, err := b.onWall()
	if err != nil {
		return err
	}
	m.cutHole(func(p r3.Vec) bool { return p.Dist(at) < v/2+0.05 })
	b.truth.Missing = append(b.truth.Missing, MissingTruth{
		Scan: Working, What: "surface", Surface: b.surfaceAt(at), At: pointOf(at), DiameterMm: v,
	})
	b.report("surface-missing", Working, v, "mm", at)
	return nil
}

// invent closes a hole of v mm in a wall of the stump as programs do: with a lid of few
// long faces from rim to rim, or with an even skin of points like those of the scan.
func invent(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil {
		return nil
	}
	at, err := b.onWall()
	if err != nil {
		return err
	}
	hole := func(p r3.Vec) bool { return p.Dist(at) < v/2 }
	if math.Mod(math.Abs(at.X), 0.2) < 0.1 { // either, by chance, without a draw
		m.closed = hole
	} else {
		m.cutHole(hole)
		if m.mesh, err = lid(m.mesh, at, v); err != nil {
			return err
		}
	}
	b.report("surface-invented", Working, math.Pi*v*v/4, "mm²", at)
	return nil
}

// lid joins the rim of a hole of v mm to its middle.
func lid(m *mesh.Mesh, at r3.Vec, v float64) (*mesh.Mesh, error) {
	var rim []mesh.HalfedgeID
	best := math.Inf(1)
	for _, loop := range mesh.NewTopology(m).Loops() {
		far := 0.0
		for _, h := range loop {
			far = max(far, m.Pos[m.From(h)].Dist(at))
		}
		if far < best {
			best, rim = far, loop
		}
	}
	if best > v+1 {
		return nil, fmt.Errorf("phantom: the hole for an invented surface runs into the edge of the scan")
	}
	out := &mesh.Mesh{Pos: append([]r3.Vec(nil), m.Pos...), Tri: append([][3]mesh.VertexID(nil), m.Tri...)}
	var middle r3.Vec
	for _, h := range rim {
		middle = middle.Add(out.Pos[m.From(h)])
	}
	hub := mesh.VertexID(len(out.Pos))
	out.Pos = append(out.Pos, middle.Scale(1/float64(len(rim))))
	for _, h := range rim {
		out.Tri = append(out.Tri, [3]mesh.VertexID{m.To(h), m.From(h), hub})
	}
	return out, nil
}

// skin lays the vertices of m whose place in pos, before noise, is in a hole on the even
// skin that their rim holds: each in the middle of its neighbours.
func skin(m *mesh.Mesh, pos []r3.Vec, hole func(p r3.Vec) bool) *mesh.Mesh {
	topo := mesh.NewTopology(m)
	out := &mesh.Mesh{Pos: append([]r3.Vec(nil), m.Pos...), Tri: m.Tri, Color: m.Color}
	var in []mesh.VertexID
	for i, p := range pos {
		if v := mesh.VertexID(i); hole(p) && !topo.OnBoundary(v) {
			in = append(in, v)
		}
	}
	const rounds = 600
	var ring []mesh.VertexID
	for range rounds {
		for _, v := range in {
			ring = topo.OneRing(ring, v)
			var sum r3.Vec
			for _, w := range ring {
				sum = sum.Add(out.Pos[w])
			}
			out.Pos[v] = sum.Scale(1 / float64(len(ring)))
		}
	}
	return out
}

// Colours of a scan, sRGB.
var (
	enamel  = mesh.RGB{228, 216, 192}
	dentine = mesh.RGB{224, 198, 148}
	pink    = mesh.RGB{206, 122, 118}
	blood   = mesh.RGB{142, 20, 24}
)

// paint gives the working scan the colours of what each vertex lies on.
func (b *build) paint() {
	m := b.scan(Working)
	if m == nil {
		return
	}
	tissue := b.w.tissueNow
	color := make([]mesh.RGB, len(m.mesh.Pos))
	solid.Parallel(len(color), func(i int) {
		p := m.mesh.Pos[i]
		switch {
		case math.Abs(tissue.At(p).D) < 0.02:
			color[i] = pink
		case math.Abs(b.w.stump.Field(p).D) < 0.02:
			color[i] = dentine
		default:
			color[i] = enamel
		}
	})
	m.mesh = &mesh.Mesh{Pos: m.mesh.Pos, Tri: m.mesh.Tri, Color: color}
}

// bleed stains v mm² of the shelf with blood.
func bleed(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil || m.mesh.Color == nil {
		return nil
	}
	p, err := b.w.stump.MarginAt(b.rng.Float64() * 2 * math.Pi)
	if err != nil {
		return err
	}
	p.X, p.Y = p.X*0.88, p.Y*0.88
	at := b.w.prepared.Mouth.Point(p)
	color := append([]mesh.RGB(nil), m.mesh.Color...)
	radius := math.Sqrt(v / math.Pi)
	for i, q := range m.mesh.Pos {
		if q.Dist(at) < radius {
			color[i] = blood
		}
	}
	m.mesh = &mesh.Mesh{Pos: m.mesh.Pos, Tri: m.mesh.Tri, Color: color}
	b.report("contrast-colour", Working, v, "mm²", at)
	return nil
}

// double lays a second sheet v mm above a part of the preparation's wall and shelf.
func double(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil {
		return nil
	}
	p, err := b.w.stump.MarginAt(b.rng.Float64() * 2 * math.Pi)
	if err != nil {
		return err
	}
	q := p.Add(r3.V(0, 0, 1.8)) // on the wall above
	q.X, q.Y = q.X*0.75, q.Y*0.75
	at := b.w.prepared.Mouth.Point(q)
	const radius = 2.2
	n := normals(m.mesh)
	ok := make([]bool, len(m.mesh.Pos))
	pos := make([]r3.Vec, len(ok))
	for i, p := range m.mesh.Pos {
		ok[i] = p.Dist(at) < radius
		pos[i] = p.AddScaled(v, n[i])
	}
	sheet := keepVertices(&mesh.Mesh{Pos: pos, Tri: m.mesh.Tri}, ok)
	m.mesh = join(m.mesh, sheet)
	b.report("surface-doubled", Working, v, "mm", at)
	return nil
}

// scatter adds v loose scraps of tissue and spit around the teeth.
func scatter(b *build, v float64) error {
	m := b.scan(Working)
	if m == nil {
		return nil
	}
	w := b.w
	teeth := w.working.Teeth[w.first : w.last+1]
	for range int(math.Round(v)) {
		t := teeth[b.rng.IntN(len(teeth))]
		mesial, buccal, occlusal := t.Axes()
		side := 1.0
		if b.rng.IntN(2) == 0 {
			side = -1
		}
		at := t.Center().AddScaled(side*(t.Form.Depth/2+2+2*b.rng.Float64()), buccal).
			AddScaled(6*b.rng.Float64()-3, mesial).AddScaled(3+2*b.rng.Float64(), occlusal)
		m.mesh = join(m.mesh, b.scrap(at))
	}
	return nil
}

// scrap makes a crumpled disc of 0.5 to 1.5 mm.
func (b *build) scrap(at r3.Vec) *mesh.Mesh {
	r := 0.25 + 0.5*b.rng.Float64()
	n := r3.V(b.rng.NormFloat64(), b.rng.NormFloat64(), b.rng.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	e1, e2 := n.Basis()
	m := &mesh.Mesh{Pos: []r3.Vec{at}}
	const rings, spokes = 3, 10
	for ring := 1; ring <= rings; ring++ {
		for k := range spokes {
			s, c := math.Sincos(2 * math.Pi * float64(k) / spokes)
			d := r * float64(ring) / rings * (0.8 + 0.4*b.rng.Float64())
			m.Pos = append(m.Pos, at.AddScaled(d*c, e1).AddScaled(d*s, e2).AddScaled(0.08*b.rng.NormFloat64(), n))
		}
	}
	id := func(ring, k int) mesh.VertexID { return mesh.VertexID(1 + (ring-1)*spokes + k%spokes) }
	for k := range spokes {
		m.Tri = append(m.Tri, [3]mesh.VertexID{0, id(1, k), id(1, k+1)})
		for ring := 1; ring < rings; ring++ {
			m.Tri = append(m.Tri,
				[3]mesh.VertexID{id(ring, k), id(ring+1, k), id(ring+1, k+1)},
				[3]mesh.VertexID{id(ring, k), id(ring+1, k+1), id(ring, k+1)})
		}
	}
	return m
}
