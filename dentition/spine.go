package dentition

import "math"

// xy is a point of the occlusal plane in chart coordinates, mm.
type xy struct{ x, y float64 }

func (a xy) sub(b xy) xy            { return xy{a.x - b.x, a.y - b.y} }
func (a xy) add(s float64, b xy) xy { return xy{a.x + s*b.x, a.y + s*b.y} }
func (a xy) dot(b xy) float64       { return a.x*b.x + a.y*b.y }
func (a xy) cross(b xy) float64     { return a.x*b.y - a.y*b.x }
func (a xy) scale(s float64) xy     { return xy{s * a.x, s * a.y} }
func (a xy) norm() float64          { return math.Hypot(a.x, a.y) }
func (a xy) right() xy              { return xy{a.y, -a.x} } // a turned clockwise by 90°

// unit returns a of length one, or (1, 0) for the zero vector.
func (a xy) unit() xy {
	n := a.norm()
	if n == 0 {
		return xy{1, 0}
	}
	return xy{a.x / n, a.y / n}
}

// How the spine follows the crest.
const (
	spineStep   = 0.25 // mm between points
	spineSmooth = 8.0  // mm, one sigma: a molar, so that none pulls it to its cusp
	spineReach  = 8.0  // mm across: beyond half a molar's breadth lies another thing
	spineRounds = 6    // rounds of projecting and averaging; moves under 0.1 mm after four on the casts
)

// spine returns the curve through the middle of the crest: a principal curve
// [Hastie1989] that starts from the cells of path. Each round moves
// every point across the curve to the mean of the crest's cells beside it, by a
// local line over spineSmooth, and spaces the points evenly again.
//
// Cost: O(rounds · cells of the crest · points within reach).
func (c *chart) spine(mask []bool, path []int) []xy {
	pts := make([]xy, len(path))
	for i, k := range path {
		pts[i] = c.middle(k)
	}
	pts = evenly(smoothed(evenly(pts, spineStep), spineSmooth/spineStep), spineStep)
	for range spineRounds {
		if len(pts) < 3 {
			return pts
		}
		off := c.offsets(mask, pts)
		tan := tangents(pts)
		next := make([]xy, len(pts))
		for i, p := range pts {
			next[i] = p.add(off[i], tan[i].right())
		}
		pts = evenly(smoothed(next, spineSmooth/spineStep), spineStep)
	}
	return pts
}

// middle returns the centre of cell k.
func (c *chart) middle(k int) xy {
	return xy{c.x0 + float64(k%c.nx)*c.cell, c.y0 + float64(k/c.nx)*c.cell}
}

// offsets returns, per point of the curve, how far to the right of it the crest's
// middle lies: a local linear fit over the cells within reach.
func (c *chart) offsets(mask []bool, pts []xy) []float64 {
	tan := tangents(pts)
	n := len(pts)
	sum := make([]float64, n)
	num := make([]float64, n)
	for k, in := range mask {
		if !in {
			continue
		}
		p := c.middle(k)
		i, d := nearestPoint(pts, p)
		if d > spineReach {
			continue
		}
		num[i]++
		sum[i] += p.sub(pts[i]).dot(tan[i].right())
	}
	return localLine(sum, num, spineSmooth/spineStep)
}

// localLine fits a line to the means sum/num by weights num and a Gaussian of
// sigma steps, at each index. Where nothing lies within three sigma it returns 0.
func localLine(sum, num []float64, sigma float64) []float64 {
	out := make([]float64, len(sum))
	w := int(math.Ceil(3 * sigma))
	kern := gauss(sigma, w)
	for i := range out {
		var s0, s1, s2, t0, t1 float64
		for j := max(0, i-w); j <= min(len(sum)-1, i+w); j++ {
			d := float64(j - i)
			g := kern[abs(j-i)]
			s0 += g * num[j]
			s1 += g * num[j] * d
			s2 += g * num[j] * d * d
			t0 += g * sum[j]
			t1 += g * sum[j] * d
		}
		if s0 < 1e-6 { // less than a thousandth of a cell: nothing there
			continue
		}
		det := s0*s2 - s1*s1
		if det > 0.05*s0*s0*sigma*sigma { // spread over a fair part of the window
			out[i] = (t0*s2 - t1*s1) / det
		} else {
			out[i] = t0 / s0
		}
	}
	return out
}

// gauss returns exp(-d²/2σ²) for d = 0..w.
func gauss(sigma float64, w int) []float64 {
	k := make([]float64, w+1)
	for d := range k {
		k[d] = math.Exp(-float64(d*d) / (2 * sigma * sigma))
	}
	return k
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// nearestPoint returns the point of pts nearest to p; ties go to the first. Points
// lie evenly, so it steps coarsely first and then around the best few.
func nearestPoint(pts []xy, p xy) (best int, dist float64) {
	const stride = 16
	d2 := func(i int) float64 { q := pts[i].sub(p); return q.dot(q) }
	best, low := 0, math.Inf(1)
	for i := 0; i < len(pts); i += stride {
		if d := d2(i); d < low {
			best, low = i, d
		}
	}
	for i := max(0, best-stride); i <= min(len(pts)-1, best+stride); i++ {
		if d := d2(i); d < low {
			best, low = i, d
		}
	}
	return best, math.Sqrt(low)
}

// tangents returns unit directions along the curve, by differences over two
// points each way.
func tangents(pts []xy) []xy {
	t := make([]xy, len(pts))
	for i := range pts {
		t[i] = pts[min(len(pts)-1, i+2)].sub(pts[max(0, i-2)]).unit()
	}
	return t
}

// directionBase is half the length, mm, over which the direction of the row is
// taken: a tooth, so that the curve's waviness at one tooth does not turn it.
const directionBase = 4.0

// directions returns unit directions along the curve, by chords over
// directionBase each way.
func directions(pts []xy) []xy {
	w := int(directionBase / spineStep)
	t := make([]xy, len(pts))
	for i := range pts {
		k := max(1, min(w, i, len(pts)-1-i)) // symmetric, or a bend tilts it near an end
		t[i] = pts[min(len(pts)-1, i+k)].sub(pts[max(0, i-k)]).unit()
	}
	return t
}

// evenly returns points every step along the polyline, the last one where it
// falls; the ends stay.
func evenly(pts []xy, step float64) []xy {
	if len(pts) < 2 {
		return pts
	}
	out := []xy{pts[0]}
	left := step
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := b.sub(a).norm()
		at := 0.0
		for l-at >= left {
			at += left
			out = append(out, a.add(at/l, b.sub(a)))
			left = step
		}
		left -= l - at
	}
	return out
}

// smoothed returns the points smoothed along the curve with a Gaussian of sigma
// points, twice: what the first pass took away is smoothed and given back
// (twicing, [Tukey1977]), so that a bend of radius R is cut by (σ²/2R)²/R or so
// and not by σ²/2R, which at the incisors is a millimetre.
func smoothed(pts []xy, sigma float64) []xy {
	once := averaged(pts, sigma)
	rest := make([]xy, len(pts))
	for i, p := range pts {
		rest[i] = p.sub(once[i])
	}
	rest = averaged(rest, sigma)
	for i := range once {
		once[i] = once[i].add(1, rest[i])
	}
	return once
}

// averaged returns the points averaged along the curve with a Gaussian of sigma
// points. Near an end the curve is continued by its point reflection, so that the
// end stays where it is.
func averaged(pts []xy, sigma float64) []xy {
	w := int(math.Ceil(3 * sigma))
	kern := gauss(sigma, w)
	n := len(pts)
	get := func(i int) xy {
		switch {
		case i < 0:
			q := pts[min(n-1, -i)]
			return xy{2*pts[0].x - q.x, 2*pts[0].y - q.y}
		case i >= n:
			q := pts[max(0, 2*(n-1)-i)]
			return xy{2*pts[n-1].x - q.x, 2*pts[n-1].y - q.y}
		}
		return pts[i]
	}
	out := make([]xy, n)
	for i := range out {
		var s xy
		var sum float64
		for d := -w; d <= w; d++ {
			g := kern[abs(d)]
			s = s.add(g, get(i+d))
			sum += g
		}
		out[i] = xy{s.x / sum, s.y / sum}
	}
	return out
}

// Limits of the search for the symmetry of an arch.
const (
	middleArm   = 35.0               // mm along the ridge each way over which the sides are compared: to the first molars
	middleLeast = 20.0               // mm each way that must be there
	middleDeep  = 0.35               // of the length of an arm, how far back its ends lie at least; at the incisors it is 0.6
	middleTurn  = 60 * math.Pi / 180 // by which the turns of the two arms may differ before it counts much
	middleFloor = 0.05               // of the depth: misfit that every jaw has
)

// symmetry returns the place along the curve about which it is its own mirror
// image best, in steps, or NaN if no place has enough arch on both sides. The
// mirror is the normal of the curve there; the misfit is the mean distance
// between mirrored points at equal distances along, relative to how deep the arch
// is there, for any place of a straight side is its own mirror image:
//
//	misfit/depth + floor, times 1 + (difference of turns/60°)².
func symmetry(pts []xy) float64 {
	arm, least := int(middleArm/spineStep), int(middleLeast/spineStep)
	tan := directions(pts)
	turn := func(i, j int) float64 { return math.Atan2(tan[i].cross(tan[j]), tan[i].dot(tan[j])) }
	best, low := math.NaN(), math.Inf(1)
	for i := least; i < len(pts)-least; i++ {
		n := min(arm, i, len(pts)-1-i)
		sum := 0.0
		for k := 1; k <= n; k++ {
			a, b := pts[i+k].sub(pts[i]), pts[i-k].sub(pts[i])
			mirrored := a.add(-2*a.dot(tan[i]), tan[i])
			sum += mirrored.sub(b).norm()
		}
		deep := pts[i+n].add(1, pts[i-n]).add(-2, pts[i]).norm() / 2
		if deep < middleDeep*float64(n)*spineStep {
			continue
		}
		d := (turn(i-n, i) - turn(i, i+n)) / middleTurn
		if m := (sum/float64(n)/deep + middleFloor) * (1 + d*d); m < low {
			best, low = float64(i), m
		}
	}
	return best
}
