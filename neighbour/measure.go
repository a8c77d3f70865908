package neighbour

import (
	"cmp"
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/r3"
)

const (
	notSeen = "the side of the neighbour that faces the preparation is not to be seen"

	// defaultSigma stands in for a noise that is not known, mm: published noise floors
	// of scanners on a flat are 5-13 µm.
	defaultSigma = 0.01

	// marginU is the expanded uncertainty of a margin point, mm: 95 % of the points of a
	// traced margin lie within it.
	marginU = 0.04
)

func sigmaOr(s float64) float64 { return cmp.Or(max(s, 0), defaultSigma) }

// Measure looks at one neighbour.
//
// Rays of a raster of 0.15 × 0.1 mm leave the middle of the tooth towards the
// neighbour, square to the axis. In each column the neighbour's wall runs from its
// most prominent point down to where the surface turns level or steps back towards
// the tooth (the gum) and up to where it turns to the biting surface. All values are
// taken on that wall; see [Result].
//
// Cost: some 6 000 rays and, with a scan from before, as many again. Deterministic.
func Measure(in Input) Result {
	if len(in.Margin) < 3 {
		return not("no margin was traced")
	}
	r, ok := newRaster(in)
	if !ok {
		return not(notSeen)
	}
	var res Result
	res.Gap = r.gap()
	e := r.before()
	res.Damage, res.Compared = r.damage(e)
	from, to, foot, top, ok := r.middle()
	if !ok {
		v := measure.Not(notSeen)
		res.Space, res.Bulge, res.Hollow = v, v, v
		return res
	}
	r.contact(&res, from, to, foot, top)
	res.Bulge = r.bulge(from, to, foot, top)
	res.Hollow = r.hollow(from, to, foot, top)
	return res
}

func not(why string) Result {
	v := measure.Not(why)
	return Result{Space: v, Gap: v, Bulge: v, Hollow: v, Damage: v}
}

// place returns a point of the raster as a place of the scan.
func (r *raster) place(p, n r3.Vec) measure.Place {
	back := r.frame.Inverse()
	return measure.Place{At: back.Point(p), Normal: back.Dir(n), Scan: r.in.Role}
}

// The contact to come lies between these shares of the neighbour's visible height.
const (
	contactFrom = 1.0 / 3
	contactTo   = 0.9
	// contactFit is the radius of the quadric that finds the most prominent point, mm.
	contactFit = 1.0
)

// contact finds where the crown will meet the neighbour, and the space there.
func (r *raster) contact(res *Result, from, to, foot, top int) {
	lo := foot + int(contactFrom*float64(top-foot))
	hi := foot + int(contactTo*float64(top-foot))
	x := r.smoothed(2)
	bi, bj := -1, -1
	for j := lo; j <= hi; j++ {
		for i := from; i <= to; i++ {
			if v := x[j*r.cols+i]; !math.IsNaN(v) && (bi < 0 || v < x[bj*r.cols+bi]) {
				bi, bj = i, j
			}
		}
	}
	if bi < 0 {
		res.Space = measure.Not(notSeen)
		return
	}
	p := r.crest(bi, bj)
	c := r.at(bi, bj)
	at := r.place(p, c.n)
	res.Contact, res.Normal = at.At, at.Normal
	wall := r.stump[bj*r.cols+bi]
	if math.IsNaN(wall) {
		res.Space = measure.Not("the contact lies higher than the preparation")
		return
	}
	u := 2 * math.Hypot(sigmaOr(r.in.Sigma), sigmaOr(r.in.Sigma)/2)
	res.Space = measure.Of(p.X-wall, u, measure.MM).At(at)
}

// crest returns the most prominent point of a quadric through the wall about a cell, or
// the cell itself where the quadric has none near by.
func (r *raster) crest(bi, bj int) r3.Vec {
	var a [6][6]float64
	var b [6]float64
	y0, z0 := r.y(bi), r.z(bj)
	n := 0
	for j := range r.rows {
		for i := range r.cols {
			y, z := r.y(i)-y0, r.z(j)-z0
			if y*y+z*z > contactFit*contactFit || !r.at(i, j).wall {
				continue
			}
			row := [6]float64{1, y, z, y * y, y * z, z * z}
			for k := range 6 {
				for l := range 6 {
					a[k][l] += row[k] * row[l]
				}
				b[k] += row[k] * r.at(i, j).x
			}
			n++
		}
	}
	own := r.point(bi, bj)
	q, ok := num.Solve6(a, b)
	if n < 20 || !ok {
		return own
	}
	det := 4*q[3]*q[5] - q[4]*q[4]
	if det <= 0 || q[3] <= 0 { // no least: the wall runs on, the cell at the border of the zone stands
		return own
	}
	y := (-2*q[5]*q[1] + q[4]*q[2]) / det
	z := (-2*q[3]*q[2] + q[4]*q[1]) / det
	if math.Hypot(y, z) > contactFit/2 {
		return own
	}
	x := q[0] + q[1]*y + q[2]*z + q[3]*y*y + q[4]*y*z + q[5]*z*z
	return r3.V(x, y0+y, z0+z)
}

// overhangFrom is the share of a back tooth's visible height over which what stands out
// overhangs: contacts of back teeth lie in the middle third [trade §7.4]. Front teeth
// meet near the edge, and nothing overhangs.
const overhangFrom = 2.0 / 3

// bulge is the greatest overhang of three columns side by side.
func (r *raster) bulge(from, to, foot, top int) measure.Value {
	if r.in.Front {
		return measure.Not("front teeth meet near the edge, over which nothing hangs")
	}
	split := foot + int(overhangFrom*float64(top-foot))
	x := r.smoothed(1)
	over := make([]float64, r.cols)
	where := make([]int, r.cols)
	for i := from; i <= to; i++ {
		below, above := math.Inf(1), math.Inf(1)
		for j := r.foot[i]; j <= r.top[i]; j++ {
			switch v := x[j*r.cols+i]; {
			case math.IsNaN(v):
			case j <= split:
				below = min(below, v)
			case v < above:
				above, where[i] = v, j
			}
		}
		over[i] = math.NaN()
		if !math.IsInf(below, 1) && !math.IsInf(above, 1) {
			over[i] = below - above
		}
	}
	best, at := math.NaN(), 0
	for i := from + 1; i < to; i++ {
		v := min(over[i-1], over[i], over[i+1]) // NaN if any is
		if !math.IsNaN(v) && (math.IsNaN(best) || v > best) {
			best, at = v, i
		}
	}
	if math.IsNaN(best) {
		return measure.Not(notSeen)
	}
	// The two ends of the difference are means of nine cells each, a third of the noise;
	// the split is known to a row or two, over which a wall at 45° shifts it.
	u := math.Hypot(2*math.Sqrt2*sigmaOr(r.in.Sigma)/3, upward/2)
	v := measure.Of(max(best, 0), u, measure.MM)
	if best > 0 {
		v = v.At(r.place(r.point(at, where[at]), r.at(at, where[at]).n))
	}
	return v
}

// chordMost is the longest half of a chord, mm: the breadth of a contact area.
const chordMost = 1.5

// hollow is the greatest depth under a chord across the arch, in the upper two thirds:
// below, every neck is hollow.
func (r *raster) hollow(from, to, foot, top int) measure.Value {
	x := r.smoothed(1)
	best, bi, bj := 0.0, -1, -1
	seen := 0
	for j := foot + (top-foot)/3; j <= top; j++ {
		for i := from; i <= to; i++ {
			v := x[j*r.cols+i]
			if math.IsNaN(v) {
				continue
			}
			for k := 2; float64(k)*across <= chordMost && i-k >= 0 && i+k < r.cols; k++ {
				a, b := x[j*r.cols+i-k], x[j*r.cols+i+k]
				if math.IsNaN(a) || math.IsNaN(b) {
					continue
				}
				seen++
				if d := v - (a+b)/2; d > best {
					best, bi, bj = d, i, j
				}
			}
		}
	}
	if seen == 0 {
		return measure.Not(notSeen)
	}
	// Each of the three is a mean of nine cells, but a facet of the scan covers several:
	// half of the noise stays. The greatest of many adds as much again.
	u := 2 * 2 * math.Sqrt(1.5) * sigmaOr(r.in.Sigma) / 2
	out := measure.Of(best, u, measure.MM)
	if bi >= 0 {
		out = out.At(r.place(r.point(bi, bj), r.at(bi, bj).n))
	}
	return out
}
