package dentition

import "math"

// opened returns the grey opening of a height field by a flat disc of the given
// radius in cells: what remains when everything narrower than the disc is taken
// away. Cells without surface (NaN) are ignored, and stay NaN.
//
// Cost: O(cells · radius).
func opened(z []float64, nx, ny, radius int) []float64 {
	low := extreme(z, nx, ny, radius, math.Inf(1), math.Min)
	for i, v := range z {
		if math.IsNaN(v) {
			low[i] = math.NaN()
		}
	}
	return extreme(low, nx, ny, radius, math.Inf(-1), math.Max)
}

// extreme returns, for every cell, the minimum or maximum over the disc round
// it. none is the value that loses against every other. The disc is taken row by
// row: a running extreme along x for each half-width, then along y.
func extreme(z []float64, nx, ny, radius int, none float64, pick func(a, b float64) float64) []float64 {
	out := make([]float64, len(z))
	for i := range out {
		out[i] = none
	}
	clean := make([]float64, len(z))
	for i, v := range z {
		if math.IsNaN(v) {
			v = none
		}
		clean[i] = v
	}
	row := make([]float64, len(z))
	last := -1
	for dy := radius; dy >= 0; dy-- {
		w := int(math.Sqrt(float64(radius*radius - dy*dy)))
		if w != last {
			for j := range ny {
				runningExtreme(row[j*nx:(j+1)*nx], clean[j*nx:(j+1)*nx], w, none, pick)
			}
			last = w
		}
		for _, d := range [2]int{dy, -dy} {
			for j := max(0, -d); j < min(ny, ny-d); j++ {
				src, dst := row[(j+d)*nx:(j+d+1)*nx], out[j*nx:(j+1)*nx]
				for i, v := range src {
					dst[i] = pick(dst[i], v)
				}
			}
		}
	}
	for i, v := range out {
		if math.IsInf(v, 0) || math.IsNaN(z[i]) {
			out[i] = math.NaN()
		}
	}
	return out
}

// runningExtreme writes to dst the extreme of src over a window of half-width w
// ([VanHerk1992]: blocks of the window's length, prefix and
// suffix extremes; three comparisons a cell whatever the width).
func runningExtreme(dst, src []float64, w int, none float64, pick func(a, b float64) float64) {
	n, k := len(src), 2*w+1
	pad := func(i int) float64 {
		if i < w || i >= n+w {
			return none
		}
		return src[i-w]
	}
	m := n + 2*w
	pre, suf := make([]float64, m), make([]float64, m)
	for i := range m {
		if i%k == 0 {
			pre[i] = pad(i)
		} else {
			pre[i] = pick(pre[i-1], pad(i))
		}
	}
	for i := m - 1; i >= 0; i-- {
		if i == m-1 || (i+1)%k == 0 {
			suf[i] = pad(i)
		} else {
			suf[i] = pick(suf[i+1], pad(i))
		}
	}
	for i := range n {
		dst[i] = pick(suf[i], pre[i+2*w])
	}
}
