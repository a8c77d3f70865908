package neighbour

import (
	"math"
	"slices"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// The raster: its cells and bounds, mm.
const (
	across  = 0.15 // from column to column
	upward  = 0.10 // from row to row
	breadth = 4.0  // the raster's half breadth: the facing side of a molar
	lowest  = -0.5 // below the margin
	tallest = 10.0
	reach   = 9.0 // beyond the margin, at most
)

// Columns to each side of the middle one, and rows.
var (
	halfCols = int(math.Round(breadth / across))
	allRows  = int(math.Round((tallest-lowest)/upward)) + 1
)

// Limits of what is taken for the neighbour's wall.
const (
	// facing is the least part of a normal that points back along the ray: 17° off
	// grazing, beyond which a scan shows little.
	facing = 0.3
	// floor is the part of a normal that points along the axis from which a surface is
	// gum or biting surface rather than wall: 37° from level.
	floor = 0.8
	// ledge is the step, from one row to the next, that ends a wall: 75° from upright.
	ledge = 0.37
	// overhung is how far, mm, the wall may step back under an edge that hangs over it.
	overhung = 1.5
	// overGum is the height above the margin at which the search for the wall begins:
	// gum beside an opened sulcus stands lower.
	overGum = 1.5
	// startShare is the share of the neighbour's height above the margin from which the
	// search begins, should gum stand higher.
	startShare = 0.35
	// bridged is the number of empty rows that a wall may run across.
	bridged = 5
)

// cell is one ray of the raster.
type cell struct {
	x    float64 // distance from the middle, towards the neighbour; NaN where nothing was met
	n    r3.Vec  // outward normal of the face, in the raster's frame
	wall bool    // belongs to the neighbour's side
}

// raster is a look at one neighbour. Its frame: x towards the neighbour, y across the
// arch, z along the axis from the margin's height on this side.
type raster struct {
	in         Input
	frame      r3.Rigid // of the raster from the scan
	cols, rows int
	cells      []cell  // row by row
	clear      float64 // height above which no gum is taken for the wall's most prominent point
	foot, top  []int   // per column, the wall's rows; foot > top where there is none
	stump      []float64
}

func (r *raster) at(i, j int) *cell     { return &r.cells[j*r.cols+i] }
func (r *raster) y(i int) float64       { return (float64(i) - float64(r.cols-1)/2) * across }
func (r *raster) z(j int) float64       { return lowest + float64(j)*upward }
func (r *raster) point(i, j int) r3.Vec { return r3.V(r.at(i, j).x, r.y(i), r.z(j)) }

// newRaster casts the rays. ok is false where no side of a neighbour is met.
func newRaster(in Input) (r *raster, ok bool) {
	var c r3.Vec
	for _, p := range in.Margin {
		c = c.AddScaled(1/float64(len(in.Margin)), p)
	}
	x := in.Facing.Sub(c).Reject(in.Axis).UnitOr(in.Toward)
	if along := in.Toward.Reject(in.Axis).UnitOr(x); x.Dot(along) < math.Cos(aside) {
		x = along
	}
	y := in.Axis.Cross(x)
	r = &raster{in: in, cols: 2*halfCols + 1, rows: allRows}
	turn := r3.Mat{x, y, in.Axis}
	r.frame = r3.Rigid{R: turn, T: turn.Apply(c).Neg()}
	r.frame.T.Z -= r.level(turn, c)
	r.cast()
	r.walls()
	r.keepLargest()
	for i := range r.cols {
		if r.foot[i] <= r.top[i] {
			return r, true
		}
	}
	return r, false
}

// aside is how far the way to the neighbour may turn from the row's direction: a
// crowded tooth stands a third of its width out of line.
const aside = 40 * math.Pi / 180

// level returns the height of the margin on this side over its centroid.
func (r *raster) level(turn r3.Mat, c r3.Vec) float64 {
	var z, n float64
	for _, p := range r.in.Margin {
		if q := turn.Apply(p.Sub(c)); q.X > 0 && math.Abs(q.Y) < q.X/2 {
			z, n = z+q.Z, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return z / n
}

// cast sends every ray from the middle of the tooth outwards. It leaves the preparation
// for the last time inside the margin's outline and meets the first surface beyond that
// faces it: a cusp of the preparation faces it too, but is left again.
func (r *raster) cast() {
	back := r.frame.Inverse()
	edge := r.outline()
	m := r.in.Scan.Mesh
	r.cells = make([]cell, r.cols*r.rows)
	r.stump = make([]float64, len(r.cells))
	dir := back.Dir(r3.V(1, 0, 0))
	var hits []bvh.Hit
	for k := range r.cells {
		c, i, j := &r.cells[k], k%r.cols, k/r.cols
		c.x, r.stump[k] = math.NaN(), math.NaN()
		hits = r.in.Scan.AllHits(hits[:0], back.Point(r3.V(0, r.y(i), r.z(j))), dir, 0, edge[i]+reach)
		for _, h := range hits {
			if h.T < edge[i]+beyondEdge && m.AreaVector(h.Face).Dot(dir) > 0 {
				r.stump[k] = h.T
			}
		}
		for _, h := range hits {
			n, ok := m.AreaVector(h.Face).Unit()
			if !ok || n.Dot(dir) >= 0 || h.T < edge[i]-overEdge || h.T <= r.stump[k] {
				continue
			}
			c.x, c.n = h.T, r.frame.Dir(r.smooth(h.Face, h.Point, n))
			break
		}
	}
}

const (
	// beyondEdge is how far outside the margin's outline the preparation may still be
	// left, mm: the outline's own error at a column.
	beyondEdge = 0.2
	// overEdge is how far a neighbour may reach over the outline and still be seen, mm.
	overEdge = 1.2
)

// outline returns how far the margin reaches towards the neighbour at each column; past
// the margin's own breadth, as far as where it ends.
func (r *raster) outline() []float64 {
	out := make([]float64, r.cols)
	lo, hi := 0, r.cols-1
	for i := range out {
		out[i] = math.Inf(-1)
	}
	for k, p := range r.in.Margin {
		a, b := r.frame.Point(p), r.frame.Point(r.in.Margin[(k+1)%len(r.in.Margin)])
		for i := range out {
			y := r.y(i)
			if (a.Y-y)*(b.Y-y) > 0 || a.Y == b.Y {
				continue
			}
			out[i] = max(out[i], a.Lerp(b, (y-a.Y)/(b.Y-a.Y)).X)
		}
	}
	for lo < r.cols-1 && math.IsInf(out[lo], -1) {
		lo++
	}
	for hi > 0 && math.IsInf(out[hi], -1) {
		hi--
	}
	for i := range out {
		if math.IsInf(out[i], -1) {
			out[i] = max(out[min(max(i, lo), hi)], 0)
		}
	}
	return out
}

// smooth returns the scan's smooth normal at a point of a face.
func (r *raster) smooth(f mesh.FaceID, p, flat r3.Vec) r3.Vec {
	_, n := r.in.Scan.Smooth(bvh.Near{Face: f, Point: p})
	return n.UnitOr(flat)
}

// walls follows the neighbour's side in every column, from its most prominent point
// down to the gum and up to the biting surface.
func (r *raster) walls() {
	r.foot, r.top = make([]int, r.cols), make([]int, r.cols)
	ridge := r.ridge()
	r.clear = max(overGum, startShare*r.z(ridge))
	for i := range r.cols {
		r.foot[i], r.top[i] = 1, 0
		start := -1
		for j := range ridge + 1 {
			c := r.at(i, j)
			if r.z(j) < r.clear || !r.isWall(c) {
				continue
			}
			if start < 0 || c.x < r.at(i, start).x {
				start = j
			}
		}
		if start < 0 {
			continue
		}
		r.foot[i], r.top[i] = r.follow(i, start, -1), r.follow(i, start, 1)
	}
}

func (r *raster) isWall(c *cell) bool {
	return !math.IsNaN(c.x) && c.n.X < -facing && math.Abs(c.n.Z) < floor
}

// ridge returns the highest row that most of the middle columns see the neighbour in.
func (r *raster) ridge() int {
	for j := r.rows - 1; j > 0; j-- {
		n, all := 0, 0
		for i := range r.cols {
			if math.Abs(r.y(i)) > breadth/2 {
				continue
			}
			all++
			if r.isWall(r.at(i, j)) {
				n++
			}
		}
		if 3*n > all {
			return j
		}
	}
	return 0
}

// runsOn reports whether a wall that stands at x runs on to next, a row or some farther:
// by no more than most either way, or down (step < 0) and back from the gap under an edge
// that hangs over. The gum, which ends a wall below, comes forward instead.
func runsOn(x, next float64, step int, most float64) bool {
	return math.Abs(next-x) <= most || step < 0 && next > x && next-x <= overhung
}

// follow marks the wall of column i from row j on and returns its last row.
func (r *raster) follow(i, j, step int) int {
	last := j
	for gap := 0; j >= 0 && j < r.rows && gap <= bridged; j += step {
		c := r.at(i, j)
		if math.IsNaN(c.x) || step < 0 && c.n.Z < -floor { // nothing, or the underside of an edge
			gap++
			continue
		}
		if !r.isWall(c) || !runsOn(r.at(i, last).x, c.x, step, ledge*float64(1+gap)) {
			break
		}
		c.wall, last, gap = true, j, 0
	}
	return last
}

// keepLargest leaves the connected piece of the wall that has most of the neighbour's
// middle: what is seen past an embrasure belongs to another side or another tooth.
func (r *raster) keepLargest() {
	label := make([]int, len(r.cells))
	best, size, n := 0, 0, 0
	mid := r.frame.Point(r.in.Middle).Y
	var stack []int
	for k := range r.cells {
		if !r.cells[k].wall || label[k] != 0 {
			continue
		}
		n++
		label[k], stack = n, append(stack[:0], k)
		count := 0
		for len(stack) > 0 {
			q := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if math.Abs(r.y(q%r.cols)-mid) < breadth/2 {
				count++
			}
			for _, o := range r.beside(q) {
				if label[o] == 0 {
					label[o], stack = n, append(stack, o)
				}
			}
		}
		if count > size {
			best, size = n, count
		}
	}
	for i := range r.cols {
		r.foot[i], r.top[i] = 1, 0
		for j := range r.rows {
			k := j*r.cols + i
			r.cells[k].wall = r.cells[k].wall && label[k] == best
			if r.cells[k].wall {
				if r.foot[i] > r.top[i] {
					r.foot[i] = j
				}
				r.top[i] = j
			}
		}
	}
}

// beside returns the wall cells next to cell k that the surface runs on to: up and
// down, and to the sides where the step is no steeper than 75°, also under an edge that
// hangs over.
func (r *raster) beside(k int) []int {
	var out []int
	i, j := k%r.cols, k/r.cols
	for _, d := range [...][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		c := r.wallAt(i+d[0], j+d[1])
		if c == nil {
			continue
		}
		ok := math.Abs(c.x-r.cells[k].x) <= ledge*across/upward
		switch d[1] {
		case -1:
			ok = runsOn(r.cells[k].x, c.x, -1, ledge)
		case 1:
			ok = runsOn(c.x, r.cells[k].x, -1, ledge)
		}
		if ok {
			out = append(out, (j+d[1])*r.cols+i+d[0])
		}
	}
	return out
}

// smoothed returns the wall's x, each cell's the mean of the wall cells of the square of
// half cells around it after a fitted plane; NaN where fewer than half are there.
func (r *raster) smoothed(half int) []float64 {
	out := make([]float64, len(r.cells))
	for j := range r.rows {
		for i := range r.cols {
			out[j*r.cols+i] = r.mean(i, j, half)
		}
	}
	return out
}

func (r *raster) mean(i, j, half int) float64 {
	if !r.at(i, j).wall {
		return math.NaN()
	}
	var sum float64
	n := 0
	for dj := -half; dj <= half; dj++ {
		for di := -half; di <= half; di++ {
			// Both of a pair or neither: the mean then has no part of the slope.
			a, b := r.wallAt(i+di, j+dj), r.wallAt(i-di, j-dj)
			if a != nil && b != nil {
				sum += a.x
				n++
			}
		}
	}
	if 2*n < (2*half+1)*(2*half+1) {
		return math.NaN()
	}
	return sum / float64(n)
}

// wallAt returns a cell of the wall, or nil.
func (r *raster) wallAt(i, j int) *cell {
	if i < 0 || j < 0 || i >= r.cols || j >= r.rows || !r.at(i, j).wall {
		return nil
	}
	return r.at(i, j)
}

// middle returns the columns of the neighbour's middle half, of a front tooth all, and the median foot and
// ridge there. ok is false where less than a third of them show a wall.
func (r *raster) middle() (from, to, foot, top int, ok bool) {
	width := r.in.Width
	if width == 0 {
		width = usualWidth
	}
	half := width / 4
	if r.in.Front {
		half = width / 2 // narrow towards the lip, where they meet
	}
	c := r.frame.Point(r.in.Middle).Y
	from, to = r.cols, -1
	var feet, tops []int
	for i := range r.cols {
		if math.Abs(r.y(i)-c) > half {
			continue
		}
		from, to = min(from, i), max(to, i)
		if r.foot[i] <= r.top[i] {
			feet, tops = append(feet, r.foot[i]), append(tops, r.top[i])
		}
	}
	if 3*len(feet) < to-from+1 || len(feet) == 0 {
		return 0, 0, 0, 0, false
	}
	slices.Sort(feet)
	slices.Sort(tops)
	return from, to, feet[len(feet)/2], tops[len(tops)/2], true
}

// usualWidth is the buccolingual width of a crown that was not measured, mm.
const usualWidth = 9.0
