package margin

import (
	"math"
	"slices"

	"selvage/prep"
	"selvage/r3"
)

// Windows of the refinement, in mm: how far along the curve vertices count, and
// between which distances from the edge the flanks are fitted.
const (
	alongReach = 0.20
	flankFrom  = 0.05
	flankTo    = 0.42
	// shelfShare limits the shelf's window to this share of the shelf's length;
	// below straightUnder the shelf is fitted by a straight line.
	shelfShare    = 0.6
	straightUnder = 0.38
	// fewest vertices on a flank, largest step of one pass, and the turn below
	// which two flanks are too nearly parallel to intersect.
	fewest     = 6
	largest    = 0.20
	sharpest   = 10 * math.Pi / 180
	seeRadius  = 50 * math.Pi / 180 // below this turn the edge radius cannot be seen
	fallRadius = 0.05               // and this one is assumed, mm
	passes     = 2
	smoothing  = 0.08 // mm along the curve; 0.3 mm would shrink corners
)

// section is the surface near one margin point, square to the curve: x outwards,
// y towards the crown.
type section struct {
	frame r3.Rigid // sectionFromScan: x outwards, y towards the crown, z along the curve
	pts   []planar // vertices within alongReach, relative to the curve
	shelf float64  // arc length of the shelf, mm
}

// planar is a point of a section; nx and ny are the surface's normal there.
type planar struct{ x, y, nx, ny float64 }

// sameSide is the cosine of the largest angle, 65°, between a vertex's normal and
// that of the flank it is counted to: the gum across a narrow sulcus lies within
// reach of the root, but faces it.
const sameSide = 0.42

// corner is the fitted edge of one section.
type corner struct {
	at          point
	turn        float64
	inward      point // unit bisector into the material
	before, aft float64
	ok          bool
}

// refine moves readable points from the corner of their profile, which cuts the
// true one by about 0.015 mm even without noise, to the crest of the surface: both
// flanks are fitted to the mesh's own vertices in sections square to the curve and
// intersected; the crest lies r·(1/cos(turn/2) - 1) inside the intersection, with
// one edge radius r for the whole preparation. Points whose flanks cannot be
// fitted stay where they are.
func refine(m *prep.Margin) {
	var corners []corner
	var secs []section
	for range passes {
		secs = sections(m)
		corners = make([]corner, len(secs))
		for i := range secs {
			if readable(m, i) {
				corners[i] = intersect(&secs[i], m.Points[i].Before, m.Points[i].After)
			}
		}
		reject(corners)
		for i := range corners {
			if c := &corners[i]; c.ok {
				m.Points[i].At = secs[i].frame.Inverse().Point(r3.V(c.at.x, c.at.y, 0))
				m.Points[i].Before, m.Points[i].After = c.before, c.aft
			}
		}
	}
	r := edgeRadius(secs, corners)
	for i := range corners {
		c := &corners[i]
		if !c.ok {
			continue
		}
		d := r * (1/math.Cos(c.turn/2) - 1)
		at := r3.V(c.at.x+d*c.inward.x, c.at.y+d*c.inward.y, 0)
		m.Points[i].At = secs[i].frame.Inverse().Point(at)
		m.Points[i].Turn = c.turn
	}
	smooth(m)
}

func readable(m *prep.Margin, i int) bool {
	s := m.Points[i].State
	return s == prep.Readable || s == prep.NearEdge
}

// sections gathers, for every point of the curve, the vertices within alongReach
// of it along the curve, relative to the curve's own course.
func sections(m *prep.Margin) []section {
	n := len(m.Points)
	secs := make([]section, n)
	p := m.Fan.Prep
	const tangentReach = 5
	for i := range secs {
		a, b := m.Points[(i+n-tangentReach)%n].At, m.Points[(i+tangentReach)%n].At
		t := b.Sub(a).UnitOr(p.Toward(m.Points[i].Azimuth + math.Pi/2))
		out := p.Toward(m.Points[i].Azimuth).Reject(t).UnitOr(p.Mesial)
		up := t.Cross(out)
		if up.Dot(p.Axis) < 0 {
			up = up.Neg()
		}
		secs[i].frame = r3.FrameTo(m.Points[i].At, out, up, t)
		if w := &m.Walls[i]; w.Found() {
			secs[i].shelf = float64(m.Points[i].Sample-w.Foot) * m.Fan.Step
		}
	}
	gather(m, secs)
	return secs
}

// gather hands every vertex near the curve to the sections along which it lies.
// Its offset is taken to the nearest point of the curve, so that the curve's own
// bend within a window does not blur the section.
func gather(m *prep.Margin, secs []section) {
	p := m.Fan.Prep
	g := p.Frame()
	n := len(secs)
	reach := flankTo + 0.1
	normals := p.Normals
	for vi, v := range p.Mesh.Pos {
		q := g.Point(v)
		k := int(math.Round((math.Atan2(q.Y, q.X) / (2 * math.Pi)) * float64(n)))
		k = ((k % n) + n) % n
		if v.Dist(m.Points[k].At) > 3*reach {
			continue
		}
		k = slide(m, secs, v, k)
		d := secs[k].frame.Point(v)
		if d.X*d.X+d.Y*d.Y > reach*reach || math.Abs(d.Z) > alongReach {
			continue
		}
		nv := secs[k].frame.Dir(normals[vi])
		pt := planar{d.X, d.Y, nv.X, nv.Y}
		for dir := -1; dir <= 1; dir += 2 {
			s := 0.0
			start := 0
			if dir > 0 {
				start = 1
			}
			for j := start; j < n/8; j++ {
				i := (k + dir*j + n) % n
				if j > 0 {
					s += m.Points[i].At.Dist(m.Points[(i-dir+n)%n].At)
				}
				if s > alongReach {
					break
				}
				secs[i].pts = append(secs[i].pts, pt)
			}
		}
	}
}

// slide walks along the curve to the point whose section v lies in.
func slide(m *prep.Margin, secs []section, v r3.Vec, k int) int {
	n := len(secs)
	best := math.Abs(secs[k].frame.Point(v).Z)
	for range n / 8 {
		z := secs[k].frame.Point(v).Z
		next := (k + 1) % n
		if z < 0 {
			next = (k + n - 1) % n
		}
		d := math.Abs(secs[next].frame.Point(v).Z)
		if d >= best {
			break
		}
		k, best = next, d
	}
	return k
}

// intersect fits the two flanks and returns their corner. before and after are
// the headings of the profile at the edge.
func intersect(s *section, before, after float64) corner {
	back := point{-math.Cos(before), math.Sin(before)}
	down := point{math.Cos(after), -math.Sin(after)}
	reach := min(flankTo, shelfShare*s.shelf)
	if reach < 3*flankFrom {
		reach = flankTo // the shelf's length is not known: knife edge
	}
	var at point
	var c corner
	for range 2 {
		// Outward is to the right of back and to the left of down.
		shelf := fitFlank(s.pts, at, back, point{back.y, -back.x}, reach, reach >= straightUnder && after-before > shallow)
		root := fitFlank(s.pts, at, down, point{-down.y, down.x}, flankTo, false)
		if !shelf.ok || !root.ok {
			return corner{}
		}
		var ok bool
		if c, ok = meet(shelf, root); !ok {
			return corner{}
		}
		at, back, down = c.at, point{-math.Cos(c.before), math.Sin(c.before)}, point{math.Cos(c.aft), -math.Sin(c.aft)}
	}
	if c.turn < sharpest || math.Hypot(c.at.x, c.at.y) > largest {
		return corner{}
	}
	c.ok = true
	return c
}

// flank is one side of the edge: y(x) = c0 + c1·x + c2·x² with x along dir from
// origin and y to the left of dir.
type flank struct {
	origin, dir point
	c           [3]float64
	ok          bool
}

func (f *flank) point(x float64) point {
	y := f.c[0] + x*(f.c[1]+x*f.c[2])
	return point{
		f.origin.x + x*f.dir.x - y*f.dir.y,
		f.origin.y + x*f.dir.y + y*f.dir.x,
	}
}

// tangent returns the unit direction of the flank at x.
func (f *flank) tangent(x float64) point {
	s := f.c[1] + 2*x*f.c[2]
	l := math.Hypot(1, s)
	return point{(f.dir.x - s*f.dir.y) / l, (f.dir.y + s*f.dir.x) / l}
}

// point is a point or direction of a section.
type point struct{ x, y float64 }

// fitFlank fits the vertices that lie along dir, between flankFrom and to from the
// origin, on surface that faces outward; one pass drops those beyond three
// deviations.
func fitFlank(pts []planar, origin, dir, outward point, to float64, bent bool) flank {
	f := flank{origin: origin, dir: dir}
	xs := make([]float64, 0, len(pts))
	ys := make([]float64, 0, len(pts))
	for _, p := range pts {
		dx, dy := p.x-origin.x, p.y-origin.y
		x := dx*dir.x + dy*dir.y
		y := dy*dir.x - dx*dir.y
		if x < flankFrom || x > to || math.Abs(y) > x || p.nx*outward.x+p.ny*outward.y < sameSide {
			continue
		}
		xs, ys = append(xs, x), append(ys, y)
	}
	terms := 2
	if bent {
		terms = 3
	}
	for pass := range 2 {
		if len(xs) < fewest {
			return f
		}
		var ok bool
		if f.c, ok = polyfit(xs, ys, terms); !ok {
			return f
		}
		if pass == 0 {
			xs, ys = clip(xs, ys, f.c)
		}
	}
	f.ok = true
	return f
}

// clip drops points farther from the curve than three times their median
// distance over 0.6745, which is three standard deviations of a normal residual.
func clip(xs, ys []float64, c [3]float64) (kx, ky []float64) {
	res := make([]float64, len(xs))
	for i, x := range xs {
		res[i] = math.Abs(ys[i] - (c[0] + x*(c[1]+x*c[2])))
	}
	s := slices.Clone(res)
	slices.Sort(s)
	limit := 3 * s[len(s)/2] / 0.6745
	for i := range xs {
		if res[i] <= limit {
			kx, ky = append(kx, xs[i]), append(ky, ys[i])
		}
	}
	return kx, ky
}

// meet intersects the shelf's curve with the root's line by Newton's method.
func meet(shelf, root flank) (corner, bool) {
	x := 0.0
	o, d := root.point(0), root.tangent(0)
	for range 12 {
		p, t := shelf.point(x), shelf.tangent(x)
		e := (p.x-o.x)*d.y - (p.y-o.y)*d.x
		s := (t.x*d.y - t.y*d.x) * math.Hypot(1, shelf.c[1]+2*x*shelf.c[2])
		if math.Abs(s) < math.Sin(sharpest)/2 {
			return corner{}, false
		}
		x -= e / s
		if math.Abs(x) > 2*largest {
			return corner{}, false
		}
	}
	t := shelf.tangent(x) // points back along the shelf, away from the edge
	c := corner{at: shelf.point(x)}
	c.before = math.Atan2(t.y, -t.x)
	c.aft = math.Atan2(-d.y, d.x)
	c.turn = c.aft - c.before
	in := point{t.x + d.x, t.y + d.y}
	l := math.Hypot(in.x, in.y)
	if l == 0 || c.turn <= 0 {
		return corner{}, false
	}
	c.inward = point{in.x / l, in.y / l}
	return c, true
}

// reject drops corners that jump from the median of their neighbours.
func reject(c []corner) {
	const reach, jump = 8, 0.06
	n := len(c)
	bad := make([]bool, n)
	var xs, ys []float64
	for i := range c {
		if !c[i].ok {
			continue
		}
		xs, ys = xs[:0], ys[:0]
		for d := -reach; d <= reach; d++ {
			if q := &c[(i+d+n)%n]; q.ok {
				xs, ys = append(xs, q.at.x), append(ys, q.at.y)
			}
		}
		slices.Sort(xs)
		slices.Sort(ys)
		if math.Abs(c[i].at.x-xs[len(xs)/2]) > jump || math.Abs(c[i].at.y-ys[len(ys)/2]) > jump {
			bad[i] = true
		}
	}
	for i := range c {
		if bad[i] {
			c[i].ok = false
		}
	}
}

// radiusThrough is the radius of the circle that touches both flanks of a corner
// and passes through a point g inside it along the bisector and b beside that: with
// c = cos(turn/2),
//
//	(r/c - g)² + b² = r²,
//
// the larger root, on whose near side the point lies. ok is false where none does.
func radiusThrough(g, b, turn float64) (r float64, ok bool) {
	c := math.Cos(turn / 2)
	k := 1/(c*c) - 1
	d := g*g/(c*c) - k*(g*g+b*b)
	if d < 0 || g <= 0 {
		return max(g, 0), g <= 0
	}
	return (g/c + math.Sqrt(d)) / k, true
}

// edgeRadius estimates the one radius of the preparation's edge from the vertices
// within 0.025 mm of the corners' bisectors.
func edgeRadius(secs []section, corners []corner) float64 {
	const beside = 0.025
	var rs []float64
	for i := range corners {
		c := &corners[i]
		if !c.ok || c.turn < seeRadius {
			continue
		}
		for _, p := range secs[i].pts {
			dx, dy := p.x-c.at.x, p.y-c.at.y
			g := dx*c.inward.x + dy*c.inward.y
			b := dy*c.inward.x - dx*c.inward.y
			if r, ok := radiusThrough(g, b, c.turn); ok && math.Abs(b) < beside && math.Abs(g) < 0.15 {
				rs = append(rs, r)
			}
		}
	}
	if len(rs) < 20 {
		return fallRadius
	}
	slices.Sort(rs)
	return min(max(rs[len(rs)/2], 0), 0.15)
}

// smooth replaces readable points by a gaussian mean along the curve over
// readable neighbours.
func smooth(m *prep.Margin) {
	n := len(m.Points)
	out := make([]r3.Vec, n)
	for i := range m.Points {
		out[i] = m.Points[i].At
		if !readable(m, i) {
			continue
		}
		sum, w := m.Points[i].At, 1.0
		for dir := -1; dir <= 1; dir += 2 {
			s := 0.0
			for j := 1; j < n/8; j++ {
				k := (i + dir*j + n) % n
				s += m.Points[k].At.Dist(m.Points[(k-dir+n)%n].At)
				if s > 3*smoothing || !readable(m, k) {
					break
				}
				g := math.Exp(-s * s / (2 * smoothing * smoothing))
				sum = sum.AddScaled(g, m.Points[k].At)
				w += g
			}
		}
		out[i] = sum.Scale(1 / w)
	}
	for i := range m.Points {
		m.Points[i].At = out[i]
	}
}
