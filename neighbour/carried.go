package neighbour

import (
	"math"
	"slices"

	"selvage/internal/num"
)

const (
	// carryFit is the radius, mm, of the surface that is carried across a place that the
	// scan from before does not show, and carryLeast how many cells that takes.

	carryFit   = 1.7
	carryLeast = 40
	// carryRounds is how often the fit is weighted anew: four times for the least sum of
	// the residuals, which a dent in a third of the window does not move, then by
	// [Tukey]'s weights.
	carryRounds = 8
	// inner is the share of the wall that is let lie deeper than the first fits: what was
	// taken off lies deeper, nothing stands out.
	inner = 0.3
	// tukey is where Tukey's weight ends, in scatters: 95 % efficient on normal noise.
	tukey = 4.685
)

// sample is a cell of the wall about another one.
type sample struct {
	row    [6]float64 // of the quadric
	x      float64
	weight float64
}

// sunk returns how deep the wall lies, along the ray, under the surface that is carried
// across it from around, the mean over a speck about cell k, and the scatter of that
// surface. The surface is a quadric through the wall as it was where the scan from before
// shows it and as it is elsewhere, fitted so that a dent in a part of it does not count.
// NaN where the wall does not surround the cell.
func (r *raster) sunk(e *earlier, k int) (depth, scatter float64) {
	pts, ok := r.about(e, k)
	if !ok {
		return math.NaN(), 0
	}
	w, scatter, ok := robustQuadric(pts, sigmaOr(r.in.Sigma))
	if !ok {
		return math.NaN(), 0
	}
	rim := rimOff(pts, w)
	i0, j0 := k%r.cols, k/r.cols
	n, sum := 0.0, 0.0
	for _, o := range r.speck(k) {
		y, z := r.y(o%r.cols)-r.y(i0), r.z(o/r.cols)-r.z(j0)
		sum += r.cells[o].x - at6(w, quadricRow(y, z))
		n++
	}
	if n == 0 || rim > rimShare*sum/n {
		return math.NaN(), 0
	}
	return sum / n, scatter
}

const (
	// rimFrom is where, mm from the middle, the rim of a dent begins: beyond the opening of
	// a bur of 1.2 mm radius that went 0.3 mm deep.
	rimFrom = 0.9
	// rimShare is the share of a dent's depth by which the rim may lie off the surface
	// that is carried across, on each of its sides: on a fissure, or where the side turns
	// to the biting surface, one side falls away as the middle does.
	rimShare = 0.35
)

// rimOff returns how far the rim of a window lies off a quadric on the worst of its four
// sides: the median of each.
func rimOff(pts []sample, w [6]float64) float64 {
	var side [4][]float64
	for _, s := range pts {
		if y, z := s.row[1], s.row[2]; y*y+z*z > rimFrom*rimFrom {
			q := quarterOf(y, z)
			side[q] = append(side[q], s.x-at6(w, s.row))
		}
	}
	worst := 0.0
	for _, d := range side {
		worst = max(worst, math.Abs(num.Median(d)))
	}
	return worst
}

// about lists every other cell of the wall about cell k. ok is false where there are too
// few, or none of them in one of the quarters.
func (r *raster) about(e *earlier, k int) (pts []sample, ok bool) {
	var quarter [4]int
	i0, j0 := k%r.cols, k/r.cols
	di, dj := int(math.Ceil(carryFit/across)), int(math.Ceil(carryFit/upward))
	for j := max(0, j0-dj); j <= min(r.rows-1, j0+dj); j++ {
		for i := max(0, i0-di); i <= min(r.cols-1, i0+di); i++ {
			o := j*r.cols + i
			y, z := r.y(i)-r.y(i0), r.z(j)-r.z(j0)
			if (i+j)%2 != 0 || !r.cells[o].wall || y*y+z*z > carryFit*carryFit || r.z(j) < r.z(r.foot[i])+lossOverFoot {
				continue
			}
			x := r.cells[o].x
			if !math.IsNaN(e.x[o]) {
				x = e.x[o]
			}
			pts = append(pts, sample{row: quadricRow(y, z), x: x, weight: 1})
			if y*y+z*z > carryFit*carryFit/4 {
				quarter[quarterOf(y, z)]++
			}
		}
	}
	return pts, len(pts) >= carryLeast && slices.Min(quarter[:]) >= carryLeast/16
}

// quarterOf tells the four quarters about a cell: above, below and to the sides.
func quarterOf(y, z float64) int {
	switch {
	case math.Abs(y) > math.Abs(z) && y > 0:
		return 0
	case math.Abs(y) > math.Abs(z):
		return 1
	case z > 0:
		return 2
	}
	return 3
}

func quadricRow(y, z float64) [6]float64 { return [6]float64{1, y, z, y * y, y * z, z * z} }

func at6(w, row [6]float64) float64 {
	s := 0.0
	for i := range 6 {
		s += w[i] * row[i]
	}
	return s
}

// robustQuadric fits a quadric that a minority of the samples does not move, and returns
// its scatter: 1.4826 times the median residual, no less than floor.
func robustQuadric(pts []sample, floor float64) (w [6]float64, scatter float64, ok bool) {
	res := make([]float64, len(pts))
	sizes := make([]float64, len(pts))
	for round := range carryRounds {
		var a [6][6]float64
		var b [6]float64
		for k := range pts {
			s := &pts[k]
			for i := range 6 {
				t := s.weight * s.row[i]
				for j := i; j < 6; j++ { // the solver reads no more
					a[i][j] += t * s.row[j]
				}
				b[i] += t * s.x
			}
		}
		if w, ok = num.Solve6(a, b); !ok {
			return w, 0, false
		}
		for i := range pts {
			res[i] = pts[i].x - at6(w, pts[i].row)
			sizes[i] = math.Abs(res[i])
		}
		scatter = max(1.4826*num.Nth(sizes, len(sizes)/2), floor)
		for i := range pts {
			if round < carryRounds/2 {
				pts[i].weight = inner / max(math.Abs(res[i]), floor/2)
				if res[i] < 0 {
					pts[i].weight *= (1 - inner) / inner
				}
				continue
			}
			t := res[i] / (tukey * scatter)
			pts[i].weight = max(0, 1-t*t)
			pts[i].weight *= pts[i].weight
		}
	}
	return w, scatter, true
}
