package neighbour

import (
	"math"

	"selvage/measure"
	"selvage/r3"
)

const (
	// neckFit is the length of the wall above its foot, mm, that is carried on below the
	// gum, and neckLeast how much of it must be there.
	neckFit   = 1.5
	neckLeast = 0.6
	// overFoot is left out above the neck, mm, where the gum runs up the tooth in a round.
	overFoot = 0.2
	// carried is how far, mm, a wall is carried on at most.
	carried = 2.0
	// gapTop is the height above the margin, mm, up to which the neighbour is looked at:
	// nothing higher is nearest to a margin.
	gapTop = 4.0
)

// near is a point of the neighbour's wall.
type near struct {
	p     r3.Vec
	below float64 // mm below the visible wall; 0 on it
	n     r3.Vec
}

// gap is the least distance from the margin to the wall, carried on below the gum.
func (r *raster) gap() measure.Value {
	var wall []near
	for i := range r.cols {
		if r.foot[i] <= r.top[i] {
			wall = append(wall, r.column(i)...)
		}
	}
	best := math.Inf(1)
	var at r3.Vec
	var to near
	for k, p := range r.in.Margin {
		q := r.frame.Point(p)
		e := r.frame.Point(r.in.Margin[(k+1)%len(r.in.Margin)])
		if q.X < math.Abs(q.Y)/2 {
			continue // on the other sides of the tooth
		}
		for _, w := range wall {
			if d := toSegment(w.p, q, e); d < best {
				best, at, to = d, q, w
			}
		}
	}
	if math.IsInf(best, 1) {
		return measure.Not(notSeen)
	}
	noise := 2 * sigmaOr(r.in.Sigma) / 2 // the fit of a column leaves half
	u := math.Sqrt(marginU*marginU + noise*noise + neckU*neckU + carriedU*carriedU*to.below*to.below)
	return measure.Of(best, u, measure.MM).At(r.place(at, to.p.Sub(at).UnitOr(r3.V(1, 0, 0))))
}

// neckU is the expanded uncertainty of a neck, mm: gum runs up it in a round that a scan
// does not tell from tooth, and necks are not straight.
const neckU = 0.2

// carriedU is the expanded uncertainty per mm of a wall that is carried on: necks
// narrow by up to 10° more than the wall above them.
const carriedU = 0.18

// column returns the points of the wall of one column, the lowest part fitted with a
// line and carried on downwards.
func (r *raster) column(i int) []near {
	var out []near
	var n, sz, sx, szz, szx float64
	foot := r.z(r.neck(i))
	for j := r.foot[i]; j <= r.top[i] && r.z(j) <= gapTop; j++ {
		c := r.wallAt(i, j)
		if c == nil || r.z(j) < foot+overFoot {
			continue
		}
		out = append(out, near{p: r.point(i, j), n: c.n})
		if r.z(j) < foot+overFoot+neckFit {
			z := r.z(j)
			n, sz, sx, szz, szx = n+1, sz+z, sx+c.x, szz+z*z, szx+z*c.x
		}
	}
	if n*upward < neckLeast {
		return out
	}
	slope := (n*szx - sz*sx) / (n*szz - sz*sz)
	mid := (sx - slope*sz) / n
	for k := range out {
		if z := out[k].p.Z; z < foot+overFoot+neckFit {
			out[k].p.X = mid + slope*z
		}
	}
	start := foot + overFoot
	slope, mid = min(slope, 0), mid+slope*start-min(slope, 0)*start // a neck does not come forward
	for z := start - upward; z >= lowest && z > start-carried; z -= upward {
		out = append(out, near{p: r3.V(mid+slope*z, r.y(i), z), below: start - z, n: r3.V(-1, 0, 0)})
	}
	return out
}

// neck returns the row of column i in which the wall stands farthest back, below its
// most prominent point: under it the gum comes forward again. Where the wall goes on
// upright from there for a while it is the root, and the neck is where that ends.
func (r *raster) neck(i int) int {
	front := r.foot[i]
	for j := r.foot[i]; j <= r.top[i]; j++ {
		if c := r.wallAt(i, j); c != nil && r.z(j) >= r.clear && (r.z(front) < r.clear || c.x < r.at(i, front).x) {
			front = j
		}
	}
	neck := front
	for j := front; j >= r.foot[i]; j-- {
		if c := r.wallAt(i, j); c != nil && c.x > r.at(i, neck).x {
			neck = j
		}
	}
	low := neck
	for j := neck; j >= r.foot[i]; j-- {
		c := r.wallAt(i, j)
		if c == nil || c.x < r.at(i, neck).x-rootLean && c.n.Z > gumRuns {
			break
		}
		low = j
	}
	if float64(neck-low)*upward >= rootLeast {
		return low
	}
	return neck
}

const (
	// rootLean is how far a root may come forward again below the neck, mm, and rootLeast
	// how long, mm, it must be seen to: gum does so within a few tenths.
	rootLean  = 0.1
	rootLeast = 0.6
	// gumRuns is the part of a normal along the axis from which what comes forward farther
	// than rootLean is gum, 24° from upright: a tooth that is tipped comes forward too.
	gumRuns = 0.4
)

// toSegment returns the distance from p to the segment ab.
func toSegment(p, a, b r3.Vec) float64 {
	d := b.Sub(a)
	l := d.Norm2()
	if l == 0 {
		return p.Dist(a)
	}
	t := min(max(p.Sub(a).Dot(d)/l, 0), 1)
	return p.Dist(a.AddScaled(t, d))
}
