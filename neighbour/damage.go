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

// damage is the deepest loss since the scan from before, a mean over specks of 0.6 mm.
// Where the two teeth were in contact, which no scan shows, it is how deep the wall lies
// under the surface around; see [raster.sunk].
//
// The registration of the two scans is known to Before.U. What the middle of all losses
// differs from nothing is taken for its error as far as that goes: a bur leaves a dent,
// not a neighbour moved back as a whole.
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
	l, ok := r.lost(e)
	if !ok {
		return measure.Not(unseen), compared
	}
	b := r.in.Before
	chord := b.Spacing * b.Spacing / (8 * sideRadius)
	u := math.Hypot(deepestOfMany*l.scatter, chord)
	if l.shift >= b.U {
		u = math.Hypot(u, b.U)
	}
	if l.grown > max(u, gumStands) || u > max(l.deepest, tellLeast) {
		return measure.Not("the scan from before does not fit this side of the neighbour"), compared
	}
	// What was carried across speaks only where it proves more than what was seen.
	deep, k := l.deepest, l.at
	if far, q, scatter := r.sunken(e); q >= 0 {
		if w := math.Hypot(u, carriedShare*scatter); far-w > max(deep-u, 0) {
			deep, k, u = far, q, w
		}
	}
	if deep > u {
		u = math.Hypot(u, speckSag)
	}
	return measure.Of(max(deep, 0), u, measure.MM).At(r.place(r.point(k%r.cols, k/r.cols), r.cells[k].n)), compared
}

const (
	// deepestOfMany is the expanded uncertainty of the deepest speck in scatters of all:
	// where nothing was lost the deepest of some hundred lies three scatters out.
	deepestOfMany = 3.5
	// tellLeast is the uncertainty, mm, from which no loss worth a word can be told.
	tellLeast = 0.1
	// carriedShare is the expanded uncertainty of a surface that was carried across, in
	// scatters of its fit.
	carriedShare = 2
)

// losses are the mean losses over the specks that both scans show, mm.
type losses struct {
	deepest float64
	at      int     // the cell of the deepest
	grown   float64 // the deepest gain: a tooth does not grow, the scans do not fit
	scatter float64 // one standard deviation, from the half below the middle: no dent is in it
	shift   float64 // size of what was taken off all of them
}

// lost takes the middle of all losses, at most Before.U to either side, off, and looks at
// what is left. ok is false where the scans share too little of the side.
func (r *raster) lost(e *earlier) (l losses, ok bool) {
	loss := make([]float64, len(r.cells))
	var all []float64
	for q := range r.cells {
		loss[q] = (r.cells[q].x - e.x[q]) * -r.cells[q].n.X // NaN where it was not seen
		if !math.IsNaN(loss[q]) {
			all = append(all, loss[q])
		}
	}
	if len(all) == 0 {
		return l, false
	}
	u := r.in.Before.U
	shift := min(max(num.Median(all), -u), u)
	l.shift, l.deepest = math.Abs(shift), math.Inf(-1)
	var specks []float64
	for q := range r.cells {
		d := r.meanLoss(loss, q) - shift
		if math.IsNaN(d) {
			continue
		}
		specks = append(specks, d)
		l.grown = max(l.grown, -d)
		if d > l.deepest {
			l.deepest, l.at = d, q
		}
	}
	if len(specks) < speckLeast {
		return l, false
	}
	l.scatter = num.Median(specks) - num.Quantile(specks, 0.16) // of a normal distribution
	return l, true
}

// speckLeast is the number of specks, which overlap, that a scatter can be told from: a
// square millimetre.
const speckLeast = 60

// meanLoss returns the mean of the losses over the speck about a cell; NaN where the cell
// itself or a third of the speck has none.
func (r *raster) meanLoss(loss []float64, q int) float64 {
	if math.IsNaN(loss[q]) {
		return math.NaN()
	}
	about := r.speck(q)
	n, sum := 0, 0.0
	for _, o := range about {
		if !math.IsNaN(loss[o]) {
			n, sum = n+1, sum+loss[o]
		}
	}
	if n == 0 || 3*n < 2*len(about) {
		return math.NaN()
	}
	return sum / float64(n)
}

// sunken returns how deep the wall lies under the surface around where the scan from
// before does not show it, between a third and nine tenths of its height: lower, every
// neck is hollow. k is -1 where there is no such place.
func (r *raster) sunken(e *earlier) (best float64, k int, scatter float64) {
	best, k = math.Inf(-1), -1
	from, to, foot, top, ok := r.middle()
	if !ok {
		return best, k, 0
	}
	lo, hi := foot+int(contactFrom*float64(top-foot)), foot+int(contactTo*float64(top-foot))
	for j := lo; j <= hi; j++ {
		for i := from; i <= to; i++ {
			q := j*r.cols + i
			if (i+j)%2 != 0 || !e.hidden[q] {
				continue
			}
			if d, s := r.sunk(e, q); d > best { // never if it is NaN
				best, k, scatter = d, q, s
			}
		}
	}
	return best, k, scatter
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

// speckRadius is the radius, mm, of what a loss is averaged over: a bur that touches a
// neighbour takes more.
const speckRadius = 0.3

// speckSag is how much shallower than its bottom the mean over a speck of a round dent
// is, mm: r²/4·(1/1.2 + 1/8), a bur of 1.2 mm radius in a side of 8 mm radius.
const speckSag = 0.022

// speck lists the cells of the wall within speckRadius of cell k; none where the most of
// them are no wall.
func (r *raster) speck(k int) []int {
	i0, j0 := k%r.cols, k/r.cols
	di, dj := int(math.Ceil(speckRadius/across)), int(math.Ceil(speckRadius/upward))
	var out []int
	all := 0
	for j := j0 - dj; j <= j0+dj; j++ {
		for i := i0 - di; i <= i0+di; i++ {
			y, z := float64(i-i0)*across, float64(j-j0)*upward
			if y*y+z*z > speckRadius*speckRadius {
				continue
			}
			all++
			if r.wallAt(i, j) != nil {
				out = append(out, j*r.cols+i)
			}
		}
	}
	if 3*len(out) < 2*all {
		return nil
	}
	return out
}
