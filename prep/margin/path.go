package margin

import "math"

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
func closedPath(s []scores, step float64) []int {
	n := len(s)
	hi, lo := 0, math.MaxInt
	for i := range s {
		if len(s[i].turn) > 0 {
			lo = min(lo, s[i].lo)
			hi = max(hi, s[i].lo+len(s[i].turn))
		}
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
			next[j] = best + sc.at(lo+j)
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
			path[r%n] = lo + j
		}
		j += int(from[r*width+j])
	}
	return path
}
