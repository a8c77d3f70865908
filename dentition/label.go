package dentition

import (
	"math"

	"selvage/mesh"
	"selvage/surface"
	"selvage/tooth"
)

// Labels says for every vertex of a scan on which tooth it lies.
type Labels struct {
	Tooth      []tooth.Number // 0 for gum, and for what is none of the teeth that were found
	Confidence []float64      // 0 to 1: that of the tooth's number, times that of the boundary
}

// Weights of the boundary between teeth and gum.
const (
	// creaseCost is what a path pays per radian that the surface turns inwards, in mm
	// of even surface: the crease at a neck (40 to 60°) costs more than the way from
	// the top of a crown down to it (7 to 10 mm), so that two fronts meet in the crease
	// though one of them comes from farther.
	creaseCost = 80.0
	// normalReach is the distance over which normals are averaged, mm: noise of 10 µm
	// at 0.1 mm turns single ones by 6°, a crease is about 0.5 mm wide.
	normalReach = 0.35
	// evenTurn is the inward curvature that costs nothing, 1/mm: the hollow of a front
	// tooth's lingual side.
	evenTurn = 0.15
	// boundarySure is the difference of the two ways, mm, at which a label is believed by
	// 1 - 1/e.
	boundarySure = 2.0
	// coreShare is the part of a tooth's width and breadth, each way from its middle,
	// that is surely its own.
	coreShare = 0.3
	coreDepth = 3.0 // mm below its top, at most
	// flankShare and flankDepth are the same for its flanks: of its width, and of the
	// height of a textbook crown, from its top.
	flankShare = 0.2
	flankDepth = 0.45
	// A place is surely none of the tooth's where it lies so much beside or under it.
	besideCrown = 4.0 // mm from the crown's breadth 2.5 mm below its top; a front tooth is
	besideFront = 1.0 // there an edge, and its crown reaches a breadth and this from it
	underCrown  = 3.5 // mm below a crown of textbook height; between two teeth, where the
	underNeck   = 0.5 // papilla stands, this
	betweenHalf = 1.0 // mm along the row from where two teeth meet
	beyondCrown = 2.5 // mm along the row from any tooth
	// rimDepth is the share of a crown's height below which the rim of a scan is gum.
	rimDepth = 0.75
	rimEnd   = 2.0 // mm from the ends of the ridge, where the scan may be cut through a tooth
	// shelfReach and shelfUnder bound what surely belongs to a stump about its wall, mm.
	shelfReach = 0.5
	shelfUnder = 0.4
)

// Label says of each vertex on which of the teeth it lies, by two fronts from what is
// surely tooth and what is surely gum: the cost of a path is
//
//	Σ |e| · (1 + creaseCost · max(0, -κ - evenTurn)),  κ = (n₂ - n₁)·e / |e|²
//
// over its edges e, n the normals averaged over 0.35 mm: length, and what the surface
// turns inwards. Each vertex belongs to the nearest front. The concave creases
// between teeth and at the neck become boundaries [Hoffman1984]. Its confidence is
// that of the tooth's number times
//
//	1 - exp(-(d₂ - d₁)/2 mm)
//
// d₁ and d₂ the costs from the nearest front and from the nearest other one.
//
// The outline of prepared teeth is taken from prepared. Without teeth every vertex is
// 0 with confidence 0. Cost: O(V log V). Deterministic.
func Label(s Scan, teeth []Tooth, prepared ...Prepared) Labels {
	return LabelUpTo(1, s, teeth, prepared...)
}

// LabelUpTo is [Label] for who asks only which vertices of the teeth are sure to least: a
// confidence that is not below it may be said to be that of the tooth's number, and those
// of gum may be too high. It is up to twice as fast.
func LabelUpTo(least float64, s Scan, teeth []Tooth, prepared ...Prepared) Labels {
	n := len(s.Mesh.Pos)
	l := Labels{Tooth: make([]tooth.Number, n), Confidence: make([]float64, n)}
	if len(teeth) == 0 || s.Arch.strip == nil {
		return l
	}
	f := newFlood(s.Mesh, s.Normals)
	f.enough = enoughFor(least, teeth)
	seeds(s, teeth, prepared, f)
	f.run()
	for v := range n {
		k := f.label[0][v]
		if k < 0 { // a loose piece without a seed
			continue
		}
		sure := 1 - math.Exp(-(f.dist[1][v]-f.dist[0][v])/boundarySure)
		if k < int16(len(teeth)) {
			l.Tooth[v] = teeth[k].Number
			sure *= teeth[k].Confidence
		}
		l.Confidence[v] = sure
	}
	return l
}

// enoughFor returns the difference of two ways, mm, from which on every vertex of a tooth
// that can be sure to least is; +Inf where there is none.
func enoughFor(least float64, teeth []Tooth) float64 {
	const clear = 1e-6 // of rounding
	most := 0.0
	for _, t := range teeth {
		switch {
		case t.Confidence < least: // never, however far the next front is
		case t.Confidence < least+clear:
			return math.Inf(1)
		default:
			most = max(most, -boundarySure*math.Log(1-least/t.Confidence)+clear)
		}
	}
	return most
}

// Areas returns the area in mm² of each of the teeth among the labels, a third of each
// triangle to each of its corners.
func (l Labels) Areas(m *mesh.Mesh, teeth []Tooth) []float64 {
	area := surface.VertexAreas(m)
	var sum [49]float64 // by FDI number
	for v, n := range l.Tooth {
		sum[n] += area[v]
	}
	out := make([]float64, len(teeth))
	for i, t := range teeth {
		out[i] = sum[t.Number]
	}
	return out
}

// seeds starts the fronts: tooth k of teeth is label k, gum the last one.
func seeds(s Scan, teeth []Tooth, prepared []Prepared, f *flood) {
	a := &s.Arch
	c := a.strip.chart
	gum := int16(len(teeth))
	pts := make([]xy, len(a.Ridge))
	for i, p := range a.Ridge {
		q := c.frame.Point(p)
		pts[i] = xy{q.X, q.Y}
	}
	cores := make([]core, len(teeth))
	for k, t := range teeth {
		cores[k] = a.core(t)
	}
	lingual := make([]xy, len(pts))
	for i := range pts {
		d := c.frame.Dir(a.Lingual[i])
		lingual[i] = xy{d.X, d.Y}
	}
	rim := onRim(s)
	for v, p := range s.Mesh.Pos {
		q := c.frame.Point(p)
		at := xy{q.X, q.Y}
		if k := stumpAt(teeth, prepared, at, q.Z); k >= 0 {
			f.start(mesh.VertexID(v), int16(k))
			continue
		}
		i, _ := nearestPoint(pts, at)
		d := at.sub(pts[i])
		place := float64(i) * a.Step
		if i == 0 || i == len(pts)-1 { // beyond the ends of the ridge
			place -= d.cross(lingual[i])
		}
		across := d.dot(lingual[i])
		k, beyond := nearestCore(cores, place)
		open := rim[v] && place > rimEnd && place < a.Length-rimEnd
		switch {
		case cores[k].holds(place, across, q.Z):
			f.start(mesh.VertexID(v), int16(k))
		case beyond > beyondCrown || cores[k].clear(place, across, q.Z, open):
			f.start(mesh.VertexID(v), gum)
		}
	}
}

// onRim reports for each vertex whether it lies on a long boundary loop.
func onRim(s Scan) []bool {
	out := make([]bool, len(s.Mesh.Pos))
	for _, loop := range s.Topo.Loops() {
		var l float64
		for _, e := range loop {
			l += s.Mesh.Pos[s.Mesh.From(e)].Dist(s.Mesh.Pos[s.Mesh.To(e)])
		}
		if l < minRim {
			continue
		}
		for _, e := range loop {
			out[s.Mesh.From(e)] = true
		}
	}
	return out
}

// core is what is surely part of a tooth, and where it surely ends.
type core struct {
	from, to float64 // span along the ridge
	t0, t1   float64 // breadth across, 2.5 mm below the top
	high     float64
	height   float64 // of a textbook crown
	breadth  float64 // of a textbook crown
	beside   float64 // from its breadth to what is surely none of it
}

func (a *Arch) core(t Tooth) core {
	i, j := a.index(t.From), a.index(t.To)
	c := core{from: t.From, to: t.To, height: 8, breadth: 8}
	c.t0, c.t1, _, c.high = a.strip.crown(i, j)
	c.beside = besideCrown
	if d, ok := tooth.Dimensions(t.Number); ok {
		c.height, c.breadth = d.Height, d.BL
		if t.Number.Front() {
			c.beside = d.BL + besideFront
		}
	}
	return c
}

// nearestCore returns the core that holds place s along the ridge, or the nearest one
// and how far s lies beyond it.
func nearestCore(cores []core, s float64) (best int, beyond float64) {
	beyond = math.Inf(1)
	for k, c := range cores {
		if d := max(c.from-s, s-c.to, 0); d < beyond {
			best, beyond = k, d
		}
	}
	return best, beyond
}

// holds reports whether a point is surely the tooth's: near its middle on top, or on
// the upper half of its flanks along its middle.
func (c core) holds(s, t, z float64) bool {
	along, across := math.Abs(s-(c.from+c.to)/2)/(c.to-c.from), math.Abs(t-(c.t0+c.t1)/2)
	deep := c.high - z
	if along < coreShare && across < (c.t1-c.t0)*coreShare && deep < coreDepth {
		return true
	}
	return along < flankShare && across < c.breadth/2 && deep < flankDepth*c.height
}

// clear reports whether a point is surely none of the tooth's.
func (c core) clear(s, t, z float64, rim bool) bool {
	out := max(c.t0-t, t-c.t1)
	deep := c.high - z
	if between := min(math.Abs(s-c.from), math.Abs(s-c.to)) < betweenHalf; between && deep > c.height+underNeck {
		return true
	}
	return out > c.beside || deep > c.height+underCrown || rim && out > 0 && deep > rimDepth*c.height
}

// stumpAt returns the tooth whose stump, its shelf and the foot of it, lies at a place
// of the chart; -1 for none.
func stumpAt(teeth []Tooth, prepared []Prepared, at xy, z float64) int {
	for i := range prepared {
		p := &prepared[i]
		d := at.sub(p.at)
		r := d.norm()
		if p.Sighting != Seen || r > p.Radius {
			continue
		}
		k := int(math.Round(math.Atan2(d.y, d.x)/(2*math.Pi)*rays)+rays) % rays
		w := p.ring.wall[k]
		if w == 0 || w > mostWall || r > w+shelfReach || z < p.ring.foot[k]-shelfUnder {
			continue
		}
		for j, t := range teeth {
			if t.Number == p.Number {
				return j
			}
		}
	}
	return -1
}
