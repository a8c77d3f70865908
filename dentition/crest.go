package dentition

import "math"

// Sizes of what stands out of the jaw, in mm.
const (
	// crestCell is the raster of the search for the arch: a fifth of the
	// narrowest tooth (lower incisor, 5 mm).
	crestCell = 0.5
	// crownHalf is half of the widest crown across the arch (11 mm) plus a
	// third: a disc of this radius does not fit inside a row of teeth.
	crownHalf = 7.5
	// crestRise is the least height of a tooth over what is left when everything
	// narrower than crownHalf is taken away. A half-erupted or prepared tooth
	// still stands 2 mm out of the gum.
	crestRise = 1.5
	// crestDrop is how far below the highest point within crownHalf a point may
	// lie and still count as the top of the row: a cusp is 2 to 3 mm above its
	// fissure (trade.md §7.4), a prepared tooth 1.5 to 2 mm below its neighbours.
	crestDrop = 3.5
	// reliefDepth is how far below the highest teeth the row may run: the curve of
	// Spee (2 mm), a lone low tooth, and a tilt of 10° over half an arch.
	reliefDepth = 12.0
)

// crest marks the cells of c that lie on top of something tooth-like: higher
// than what is left when everything narrower than a tooth is taken away, and
// near the highest point around. Cost: O(cells · radius).
func (c *chart) crest() []bool {
	r := int(math.Round(crownHalf / c.cell))
	low := opened(c.z, c.nx, c.ny, r)
	top := extreme(c.z, c.nx, c.ny, r, math.Inf(-1), math.Max)
	floor := c.quantile(0.995) - reliefDepth
	mask := make([]bool, len(c.z))
	for k, z := range c.z {
		mask[k] = z-low[k] > crestRise && z > top[k]-crestDrop && z > floor
	}
	return mask
}

// quantile returns the height below which the share q of the met cells lies.
func (c *chart) quantile(q float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	n := 0
	for _, z := range c.z {
		if !math.IsNaN(z) {
			lo, hi = min(lo, z), max(hi, z)
			n++
		}
	}
	if n == 0 || hi == lo {
		return hi
	}
	const bins = 2048 // of a range of at most 100 mm: 0.05 mm, far below any limit here
	var count [bins]int
	for _, z := range c.z {
		if !math.IsNaN(z) {
			count[min(bins-1, int((z-lo)/(hi-lo)*bins))]++
		}
	}
	want, sum := int(q*float64(n)), 0
	for i, v := range count {
		if sum += v; sum > want {
			return lo + (hi-lo)*float64(i+1)/bins
		}
	}
	return hi
}

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
