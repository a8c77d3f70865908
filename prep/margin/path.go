package margin

import (
	"math"

	"selvage/internal/num"
	"selvage/prep"
)

// Step bound and stiffness of the path. Between two of 720 azimuths the line of
// a molar advances about 0.044 mm; a papilla makes it climb at most two to one,
// four samples of 0.025 mm. The stiffness charges a climb of three samples as
// much as a seventh of a full right-angled turn, which lets the path follow a
// scallop but not a single noisy profile.
const (
	stepBound = 4
	stiffness = 0.025
)

// closedPath returns, for every profile, the sample at which the closed path of
// most evidence passes: it maximises Σ turn - stiffness·(jump in samples)².
//
// The programme runs over two turns and keeps the middle one, so that neither end
// is free of its neighbour. Cost: O(2·profiles·samples·stepBound).
//
// Samples of neighbouring profiles are told to belong together by their arc length
// from origin, a place on the wall (one per profile): counted from the axis, a crumb or
// a crack on the occlusal surface would shift a profile against its neighbours.
func closedPath(s []scores, origin []int) []int {
	n := len(s)
	hi, lo := math.MinInt, math.MaxInt
	for i := range s {
		if len(s[i].turn) > 0 {
			lo = min(lo, s[i].lo-origin[i])
			hi = max(hi, s[i].lo-origin[i]+len(s[i].turn))
		}
	}
	if hi < lo {
		return origin // no evidence anywhere
	}
	width := hi - lo
	rows := 2 * n
	prev, next := make([]float64, width), make([]float64, width)
	from := make([]int8, rows*width)
	for r := range rows {
		sc := &s[r%n]
		for j := range width {
			best, arg := math.Inf(-1), 0
			for d := -stepBound; d <= stepBound; d++ {
				k := j + d
				if k < 0 || k >= width {
					continue
				}
				if v := prev[k] - stiffness*float64(d*d); v > best {
					best, arg = v, d
				}
			}
			next[j] = best + sc.at(lo+j+origin[r%n])
			from[r*width+j] = int8(arg)
		}
		prev, next = next, prev
	}
	j := 0
	for k := range prev {
		if prev[k] > prev[j] {
			j = k
		}
	}
	path := make([]int, n)
	for r := rows - 1; r >= 0; r-- {
		if r >= n/2 && r < n/2+n {
			path[r%n] = max(lo+j+origin[r%n], 0)
		}
		j += int(from[r*width+j])
	}
	return path
}

// origins returns, per profile, the sample at which its wall passes one common height:
// the median of the walls' middles. A profile without a wall takes its neighbours'.
func origins(fan *prep.Fan, walls []prep.WallLine) []int {
	n := len(walls)
	var mids []float64
	for i := range walls {
		if w := &walls[i]; w.Found() {
			mids = append(mids, fan.Profiles[i].Z[(w.From+w.To)/2])
		}
	}
	z0 := num.Median(mids)
	out := make([]int, n)
	last := -1
	for r := range 2 * n { // the second turn fills what lies before the first wall
		i := r % n
		if w := &walls[i]; w.Found() {
			mid := (w.From + w.To) / 2
			out[i] = mid + int(math.Round((fan.Profiles[i].Z[mid]-z0)/(fan.Step*math.Cos(w.Taper()))))
			last = out[i]
		} else if last >= 0 {
			out[i] = last
		}
	}
	return out
}
