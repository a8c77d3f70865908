package coverage

import (
	"fmt"
	"math"

	"selvage/dentition"
	"selvage/r3"
	"selvage/tooth"
)

// The raster on a neighbour (methods, what is missing).
const (
	rasterCell  = 0.1                // mm
	rasterReach = 5.0                // mm from the middle of the gap to the neighbour's surface, at most
	grazing     = 75 * math.Pi / 180 // a more oblique hit was not seen well enough
	contactHole = 1.0                // mm, the largest hole that may be
	middleShare = 0.5                // of the neighbour's buccolingual breadth
	ridgeInset  = 0.6                // mm: from the crest of the marginal ridge down, the surface turns up
	ridgeDepth  = 1.2                // mm into the neighbour, where the crest of its marginal ridge lies
	papillaRise = 0.4                // mm: from the gum up, the crease is no contact
	faceSpan    = 4.5                // mm: height of the raster where no gum is seen
	sideBreadth = 7.0                // mm: breadth of a neighbour that was not measured
)

// raster is a look from the gap at a neighbour.
type raster struct {
	side   tooth.Surface
	next   dentition.Neighbour
	n, m   int // across, up
	across []float64
	low    float64
	state  []cellState // m rows of n
	at     []r3.Vec    // where each ray met the neighbour, in the room
	origin r3.Vec      // middle of the gap, in the room
	dir    r3.Vec      // towards the neighbour, in the room
}

// cellState is what a ray of the raster found.
type cellState uint8

const (
	outside cellState = iota // below the gum or above the ridge
	seen
	unseen
)

// contacts looks at both neighbours.
func (r *room) contacts() (out []Contact, gaps []Gap) {
	for _, s := range []struct {
		side tooth.Surface
		next dentition.Neighbour
		dir  r3.Vec
	}{
		{tooth.Mesial, r.in.Prepared.Mesially, r3.V(1, 0, 0)},
		{tooth.Distal, r.in.Prepared.Distally, r3.V(-1, 0, 0)},
	} {
		c := Contact{Side: s.side, Tooth: s.next.Number, Needed: r.meets(s.next)}
		if !c.Needed {
			out = append(out, c)
			continue
		}
		x := r.look(s.side, s.next, s.dir)
		g, some := r.judgeContact(x, &c)
		out = append(out, c)
		if some {
			gaps = append(gaps, g)
		}
	}
	return out, gaps
}

// look casts the raster at a neighbour from the middle of the gap.
func (r *room) look(side tooth.Surface, next dentition.Neighbour, dir r3.Vec) *raster {
	face := r.frame.Point(next.Facing)
	// The ray runs from the prepared tooth's middle to the facing surface, as the
	// row bends: dir turned towards it in plan.
	d := r3.V(face.X, face.Y, 0).UnitOr(dir)
	if d.Dot(dir) < math.Cos(40*math.Pi/180) {
		d = dir
	}
	x := &raster{side: side, next: next, dir: d}
	wall := r.wallToward(d)
	x.origin = d.Scale((wall + math.Hypot(face.X, face.Y)) / 2)
	half := r.breadth(next.Number) * middleShare / 2
	x.n = 2*int(half/rasterCell) + 1
	for i := range x.n {
		x.across = append(x.across, float64(i-x.n/2)*rasterCell)
	}
	r.span(x)
	r.cast(x)
	return x
}

// wallToward returns the distance in plan from the middle of the tooth to its
// margin along d.
func (r *room) wallToward(d r3.Vec) float64 {
	far := 0.0
	for _, p := range r.outline {
		if r3.V(p.X, p.Y, 0).UnitOr(d).Dot(d) > math.Cos(15*math.Pi/180) {
			far = max(far, p.X*d.X+p.Y*d.Y)
		}
	}
	if far == 0 {
		return r.in.Prepared.Radius
	}
	return far
}

// breadth returns the buccolingual breadth of a tooth that was found, else a
// usual one.
func (r *room) breadth(n tooth.Number) float64 {
	for _, t := range r.in.Teeth {
		if t.Number == n && t.Depth > 2 {
			return t.Depth
		}
	}
	if d, ok := tooth.Dimensions(n); ok {
		return d.BL
	}
	return sideBreadth
}

// span finds, column by column, the height of the gum in the gap and of the
// neighbour's marginal ridge, and lays out the rows between them.
func (r *room) span(x *raster) {
	low, high := make([]float64, x.n), make([]float64, x.n)
	lowest, highest := math.Inf(1), math.Inf(-1)
	for i, b := range x.across {
		low[i], high[i] = r.gumAndRidge(x, b)
		lowest, highest = min(lowest, low[i]), max(highest, high[i])
	}
	x.low = lowest
	x.m = max(0, int((highest-lowest)/rasterCell)+1)
	if math.IsInf(lowest, 0) || math.IsInf(highest, 0) {
		x.m = 0
	}
	x.state = make([]cellState, x.n*x.m)
	x.at = make([]r3.Vec, x.n*x.m)
	for i := range x.n {
		for j := range x.m {
			if z := lowest + float64(j)*rasterCell; z >= low[i] && z <= high[i] {
				x.state[j*x.n+i] = unseen // until a ray says otherwise
			}
		}
	}
}

// place returns the point of the raster's plane at distance b across, height z.
func (x *raster) place(b, z float64) r3.Vec {
	return r3.V(x.origin.X-b*x.dir.Y, x.origin.Y+b*x.dir.X, z)
}

// gumAndRidge returns the lowest and highest height of the raster at b across.
func (r *room) gumAndRidge(x *raster, b float64) (low, high float64) {
	const above = 8.0 // mm over the top of the stump: clear of any cusp
	down := r.back.Dir(r3.V(0, 0, -1))
	face := r.frame.Point(x.next.Facing)
	reach := math.Hypot(face.X-x.origin.X, face.Y-x.origin.Y)
	high = face.Z
	p := x.place(b, above).AddScaled(reach+ridgeDepth, x.dir)
	if h, _, ok := r.first(r.back.Point(p), down, 0, 2*above); ok {
		high = r.frame.Point(h.Point).Z - ridgeInset
	}
	low = high - faceSpan
	if h, _, ok := r.first(r.back.Point(x.place(b, above)), down, 0, 2.5*above); ok {
		low = max(low, r.frame.Point(h.Point).Z+papillaRise)
	}
	return low, high
}

// cast sends the rays.
func (r *room) cast(x *raster) {
	d := r.back.Dir(x.dir)
	for j := range x.m {
		for i, b := range x.across {
			k := j*x.n + i
			if x.state[k] == outside {
				continue
			}
			o := r.back.Point(x.place(b, x.low+float64(j)*rasterCell))
			h, n, ok := r.first(o, d, 0, rasterReach)
			if !ok || n.Dot(d) > -math.Cos(grazing) {
				continue
			}
			x.state[k] = seen
			x.at[k] = r.frame.Point(h.Point)
		}
	}
}

// judgeContact fills in what was seen and returns the gap if the largest missing
// piece exceeds what a scan's spacing explains.
func (r *room) judgeContact(x *raster, c *Contact) (g Gap, some bool) {
	var want, got float64
	var face r3.Vec
	for k, s := range x.state {
		if s == outside {
			continue
		}
		want++
		if s == seen {
			got++
			face = face.Add(x.at[k])
		}
	}
	c.Normal = r.back.Dir(x.dir.Neg())
	c.At = x.next.Facing
	c.U = 2 * math.Hypot(rasterCell, r.spacing())
	if want == 0 {
		return g, false
	}
	depth := x.next.Facing
	if got > 0 {
		depth = r.back.Point(face.Scale(1 / got))
		c.At = depth
	}
	c.Seen = got / want
	pts := x.largest(r.frame.Point(depth))
	if len(pts) == 0 {
		return g, false
	}
	mid := r3.Vec{}
	for _, p := range pts {
		mid = mid.Add(p)
	}
	mid = r.back.Point(mid.Scale(1 / float64(len(pts))))
	c.Largest = widest(pts) + rasterCell
	for i := range pts {
		pts[i] = r.back.Point(pts[i])
	}
	g = Gap{
		Kind: ContactAreaMissing, Part: PartContact, Tooth: x.next.Number, Surface: x.side,
		Role: r.in.Working.Role, At: mid, Normal: c.Normal, Extent: c.Largest, ExtentU: c.U,
		Area: float64(len(pts)) * rasterCell * rasterCell,
		Form: AsCells, Outline: pts,
	}
	g.Why = fmt.Sprintf("%.1f mm of the surface of %v that the crown will touch is not in the scan", g.Extent, g.Tooth)
	if g.Extent <= contactHole-c.U {
		return g, false
	}
	g.Approach = r.approach(pts, repeat(c.Normal, len(pts)))
	return g, true
}

// repeat returns n copies of v.
func repeat(v r3.Vec, n int) []r3.Vec {
	out := make([]r3.Vec, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// broadCells is half the breadth, in cells, that a missing piece must have
// somewhere to be a hole: half a millimetre. Along the gum and the crest of the ridge
// run slivers of grazing rays.
const broadCells = 2

// broad marks the unseen cells that belong to something broad: an opening of the
// unseen cells by a square.
func (x *raster) broad() []bool {
	out := make([]bool, len(x.state))
	for b := broadCells; b < x.m-broadCells; b++ {
		for a := broadCells; a < x.n-broadCells; a++ {
			if x.allUnseen(a, b) {
				x.square(a, b, func(k int) bool { out[k] = true; return true })
			}
		}
	}
	return out
}

// allUnseen reports whether the whole square round a cell is unseen.
func (x *raster) allUnseen(a, b int) bool {
	return x.square(a, b, func(k int) bool { return x.state[k] == unseen })
}

// square calls f for the cells of the square round a cell until it says no.
func (x *raster) square(a, b int, f func(k int) bool) bool {
	for j := b - broadCells; j <= b+broadCells; j++ {
		for i := a - broadCells; i <= a+broadCells; i++ {
			if !f(j*x.n + i) {
				return false
			}
		}
	}
	return true
}

// largest returns the cells of the largest connected broad piece that is unseen as
// points of the room, at the depth of the point given.
func (x *raster) largest(depth r3.Vec) []r3.Vec {
	broad := x.broad()
	done := make([]bool, len(x.state))
	var best []int
	for k := range x.state {
		if !broad[k] || done[k] {
			continue
		}
		piece := []int{k}
		done[k] = true
		for q := 0; q < len(piece); q++ {
			i, j := piece[q]%x.n, piece[q]/x.n
			for _, e := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				a, b := i+e[0], j+e[1]
				if a < 0 || b < 0 || a >= x.n || b >= x.m {
					continue
				}
				if t := b*x.n + a; broad[t] && !done[t] {
					done[t] = true
					piece = append(piece, t)
				}
			}
		}
		if len(piece) > len(best) {
			best = piece
		}
	}
	far := depth.Sub(x.origin).Dot(x.dir)
	pts := make([]r3.Vec, len(best))
	for i, k := range best {
		pts[i] = x.place(x.across[k%x.n], x.low+float64(k/x.n)*rasterCell).AddScaled(far, x.dir)
	}
	return pts
}
