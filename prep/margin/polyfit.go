package margin

import "math"

// polyfit fits y = c0 + c1·x (+ c2·x²) by least squares. ok is false where the
// abscissae do not determine it.
func polyfit(xs, ys []float64, terms int) (c [3]float64, ok bool) {
	var a [3][4]float64
	for i, x := range xs {
		row := [3]float64{1, x, x * x}
		for r := range terms {
			for k := range terms {
				a[r][k] += row[r] * row[k]
			}
			a[r][3] += row[r] * ys[i]
		}
	}
	for p := range terms {
		big := p
		for r := p + 1; r < terms; r++ {
			if math.Abs(a[r][p]) > math.Abs(a[big][p]) {
				big = r
			}
		}
		a[p], a[big] = a[big], a[p]
		if math.Abs(a[p][p]) < 1e-12*float64(len(xs)) { // x spans under a micrometre
			return c, false
		}
		for r := p + 1; r < terms; r++ {
			f := a[r][p] / a[p][p]
			for k := p; k < 4; k++ {
				a[r][k] -= f * a[p][k]
			}
		}
	}
	for p := terms - 1; p >= 0; p-- {
		s := a[p][3]
		for k := p + 1; k < terms; k++ {
			s -= a[p][k] * c[k]
		}
		c[p] = s / a[p][p]
	}
	return c, true
}
