package neighbour

import (
	"math"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/measure"
	"selvage/r3"
)

const (
	// lossMost is how far the old surface is looked for, mm: more than a bur takes off a
	// neighbour unnoticed.
	lossMost = 1.0
	// lossOverFoot is left out above the gum, mm, which has moved since.
	lossOverFoot = 0.6
	// openSpace is the free space before the old surface, mm, from which it is believed:
	// nearer to the tooth that stood there a scan shows a web between the two.
	openSpace = 0.4
	// sameFace is the least cosine between the old and the new normal, 25°: more, and
	// they are of different surfaces.
	sameFace = 0.9
	// lossFit is the radius, mm, of the surface that is carried across the contact from
	// what is believed around it; lossPoints how many cells that takes.
	lossFit    = 2.5
	lossPoints = 80
	// lossNear is how near, mm, what is believed must come on every side.
	lossNear = 2.0
	// comparedLeast is the share of the facing side that must be on both scans.
	comparedLeast = 0.1
)

// earlier is what the scan from before says of the wall, cell by cell.
type earlier struct {
	x      []float64 // the old surface along the ray; NaN where it is not believed
	hidden []bool    // it lay too near to the tooth that stood there
	wall   int       // cells of the wall above the gum
	both   int       // of them on both scans
}

// damage is the deepest loss along the normal since the scan from before. Where the
// two teeth were in contact, which no scan shows, the old surface is carried across from
// around it. A cell counts for as much as the least of itself and its four neighbours,
// so that no speck does: a hollow narrower than 0.3 mm is none.
func (r *raster) damage(e *earlier) (v measure.Value, compared float64) {
	if e == nil {
		return measure.Not("no scan from before the preparation"), 0
	}
	if e.wall > 0 {
		compared = float64(e.both) / float64(e.wall)
	}
	const unseen = "the scan from before does not show this side of the neighbour"
	if compared < comparedLeast {
		return measure.Not(unseen), compared
	}
	loss, fit := r.losses(e)
	b := r.in.Before
	noise := 2 * math.Hypot(sigmaOr(r.in.Sigma), sigmaOr(b.Sigma))
	chord := b.Spacing * b.Spacing / (8 * sideRadius)
	u := math.Sqrt(noise*noise + chord*chord + b.U*b.U)
	seen, k := r.deepest(loss, func(q int) bool { return fit[q] == 0 })
	if math.IsInf(seen, -1) {
		return measure.Not(unseen), compared
	}
	// What was carried across speaks only where it proves more than what was seen.
	far, q := r.deepest(loss, func(int) bool { return true })
	if w := math.Hypot(u, carriedShare*fit[q]); far-w > max(seen, 0) {
		seen, k, u = far, q, w
	}
	return measure.Of(max(seen, 0), u, measure.MM).At(r.place(r.point(k%r.cols, k/r.cols), r.cells[k].n)), compared
}

// carriedShare is the expanded uncertainty of a surface that was carried across, in
// scatters of its fit: the scatter is of where it was fitted, not of the middle.
const carriedShare = 4

// deepest returns the greatest of all cells' losses, each the least of itself and its
// four neighbours, all of which must count, and the cell.
func (r *raster) deepest(loss []float64, counts func(int) bool) (best float64, k int) {
	best = math.Inf(-1)
	for j := 1; j < r.rows-1; j++ {
		for i := 1; i < r.cols-1; i++ {
			q := j*r.cols + i
			five := [...]int{q, q - 1, q + 1, q - r.cols, q + r.cols}
			d := math.Inf(1)
			for _, o := range five {
				if !counts(o) || math.IsNaN(loss[o]) {
					d = math.NaN()
				}
				d = min(d, loss[o])
			}
			if d > best { // never if it is NaN
				best, k = d, q
			}
		}
	}
	return best, k
}

// sideRadius is the least radius of a tooth's side, mm: that of a lower incisor.
const sideRadius = 2.0

// before casts the raster at the scan from before; nil where there is none.
func (r *raster) before() *earlier {
	if r.in.Before == nil {
		return nil
	}
	b := r.in.Before
	e := &earlier{x: make([]float64, len(r.cells)), hidden: make([]bool, len(r.cells))}
	back := b.WorkingFromBefore.Inverse().After(r.frame.Inverse())
	dir := back.Dir(r3.V(1, 0, 0))
	var hits []bvh.Hit
	for k := range r.cells {
		c, i, j := &r.cells[k], k%r.cols, k/r.cols
		e.x[k] = math.NaN()
		if !c.wall || r.z(j) < r.z(r.foot[i])+lossOverFoot {
			continue
		}
		e.wall++
		hits = b.Scan.AllHits(hits[:0], back.Point(r3.V(c.x-lossMost-openSpace, r.y(i), r.z(j))), dir, 0, 2*lossMost+openSpace)
		x, free, ok := r.old(hits, dir, back.Dir(c.n))
		x += c.x - lossMost - openSpace
		switch {
		case ok && free:
			e.x[k] = x
			e.both++
		default:
			e.hidden[k] = true
		}
	}
	r.dropGum(e)
	return e
}

// dropGum disbelieves the old surface where it stands out at the lower end of a column:
// gum stood higher before it was pressed back.
func (r *raster) dropGum(e *earlier) {
	for i := range r.cols {
		for j := r.foot[i]; j <= r.top[i]; j++ {
			k := j*r.cols + i
			if math.IsNaN(e.x[k]) {
				continue
			}
			if r.cells[k].x-e.x[k] < gumStands {
				break
			}
			e.x[k], e.hidden[k] = math.NaN(), true
			e.both--
		}
	}
}

// gumStands is how far out, mm, the old surface must stand at its lower end to be gum:
// half of the loss that is flagged.
const gumStands = 0.05

// old picks the old surface of the neighbour among the hits of a ray: the one that
// faces as the new one does, nearest to it. free reports whether the space before it is
// open.
func (r *raster) old(hits []bvh.Hit, dir, n r3.Vec) (x float64, free, ok bool) {
	m := r.in.Before.Scan.Mesh
	last := math.Inf(-1) // the back of the tooth that stood there
	best := math.Inf(1)
	for _, h := range hits {
		a, unit := m.AreaVector(h.Face).Unit()
		switch {
		case !unit:
		case a.Dot(dir) > 0:
			last = h.T
		case a.Dot(n) > sameFace && math.Abs(h.T-lossMost-openSpace) < best:
			best, x, ok = math.Abs(h.T-lossMost-openSpace), h.T, true
			free = h.T-last > openSpace
		}
	}
	return x, free && best <= lossMost, ok
}

// losses returns the loss along the normal at every cell, and the scatter of what was
// carried across: zero where the old surface was seen.
func (r *raster) losses(e *earlier) (loss, fit []float64) {
	loss, fit = make([]float64, len(r.cells)), make([]float64, len(r.cells))
	for k := range r.cells {
		c := &r.cells[k]
		loss[k] = math.NaN()
		x := e.x[k]
		if e.hidden[k] {
			x, fit[k] = r.carried(e, k)
		}
		if c.wall {
			loss[k] = (c.x - x) * -c.n.X
		}
	}
	return loss, fit
}

// carried returns the old surface at cell k from a quadric through what is believed
// around it, on all sides, and the quadric's scatter.
func (r *raster) carried(e *earlier, k int) (x, scatter float64) {
	var a [6][6]float64
	var b [6]float64
	var quarter [4]int
	y0, z0 := r.y(k%r.cols), r.z(k/r.cols)
	type sample struct {
		row [6]float64
		x   float64
	}
	var pts []sample
	for o, old := range e.x {
		y, z := r.y(o%r.cols)-y0, r.z(o/r.cols)-z0
		if math.IsNaN(old) || y*y+z*z > lossFit*lossFit {
			continue
		}
		q := 0
		if y > 0 {
			q++
		}
		if z > 0 {
			q += 2
		}
		if y*y+z*z < lossNear*lossNear {
			quarter[q]++
		}
		s := sample{[6]float64{1, y, z, y * y, y * z, z * z}, old}
		for i := range 6 {
			for j := range 6 {
				a[i][j] += s.row[i] * s.row[j]
			}
			b[i] += s.row[i] * s.x
		}
		pts = append(pts, s)
	}
	if len(pts) < lossPoints || min(quarter[0], quarter[1], quarter[2], quarter[3]) < lossPoints/16 {
		return math.NaN(), 0
	}
	w, ok := num.Solve6(a, b)
	if !ok {
		return math.NaN(), 0
	}
	sum := 0.0
	for _, s := range pts {
		d := s.x
		for i := range 6 {
			d -= w[i] * s.row[i]
		}
		sum += d * d
	}
	return w[0], math.Sqrt(sum / float64(len(pts)))
}
