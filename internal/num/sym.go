package num

import "math"

// Eigen3 returns the eigenvalues of the symmetric matrix a, largest first, and
// the unit eigenvectors as rows in the same order. Only the upper triangle is
// read. Method: cyclic Jacobi, absolute error about 1e-15 times the largest
// entry. Cost: constant.
func Eigen3(a [3][3]float64) (val [3]float64, vec [3][3]float64) {
	var m, v [9]float64
	for i := range 3 {
		for j := range 3 {
			m[3*i+j] = a[min(i, j)][max(i, j)]
		}
	}
	jacobi(m[:], v[:], 3)
	for r, i := range descending(m[:], 3) {
		val[r] = m[3*i+i]
		for j := range 3 {
			vec[r][j] = v[3*j+i]
		}
	}
	return val, vec
}

// Eigen6 is [Eigen3] for six rows.
func Eigen6(a [6][6]float64) (val [6]float64, vec [6][6]float64) {
	var m, v [36]float64
	for i := range 6 {
		for j := range 6 {
			m[6*i+j] = a[min(i, j)][max(i, j)]
		}
	}
	jacobi(m[:], v[:], 6)
	for r, i := range descending(m[:], 6) {
		val[r] = m[6*i+i]
		for j := range 6 {
			vec[r][j] = v[6*j+i]
		}
	}
	return val, vec
}

// descending returns the positions of the diagonal of a, largest entry first;
// equal entries keep their order.
func descending(a []float64, n int) []int {
	idx := make([]int, n)
	for i := range idx {
		idx[i] = i
		for k := i; k > 0 && a[idx[k]*n+idx[k]] > a[idx[k-1]*n+idx[k-1]]; k-- {
			idx[k], idx[k-1] = idx[k-1], idx[k]
		}
	}
	return idx
}

// maxSweeps bounds the Jacobi iteration. Convergence is quadratic once the
// off-diagonal is small; six rows need five to eight sweeps.
const maxSweeps = 40

// jacobi diagonalises the symmetric n×n matrix a in place by plane rotations and
// leaves the eigenvectors in the columns of v.
func jacobi(a, v []float64, n int) {
	for i := range n {
		for j := range n {
			v[i*n+j] = 0
		}
		v[i*n+i] = 1
	}
	for range maxSweeps {
		off := 0.0
		for p := range n {
			for q := p + 1; q < n; q++ {
				off += math.Abs(a[p*n+q])
			}
		}
		if off == 0 || math.IsNaN(off) {
			return
		}
		for p := range n {
			for q := p + 1; q < n; q++ {
				rotate(a, v, n, p, q)
			}
		}
	}
}

// rotate applies the Jacobi rotation that makes a[p][q] zero.
func rotate(a, v []float64, n, p, q int) {
	apq := a[p*n+q]
	// An entry that cannot change either diagonal neighbour is zero already.
	if g := 1e3 * math.Abs(apq); math.Abs(a[p*n+p])+g == math.Abs(a[p*n+p]) &&
		math.Abs(a[q*n+q])+g == math.Abs(a[q*n+q]) {
		a[p*n+q], a[q*n+p] = 0, 0
		return
	}
	theta := (a[q*n+q] - a[p*n+p]) / (2 * apq)
	t := 1 / (math.Abs(theta) + math.Hypot(theta, 1))
	if theta < 0 {
		t = -t
	}
	c := 1 / math.Hypot(t, 1)
	s := t * c
	for k := range n {
		x, y := a[k*n+p], a[k*n+q]
		a[k*n+p], a[k*n+q] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
	}
	for k := range n {
		x, y := a[p*n+k], a[q*n+k]
		a[p*n+k], a[q*n+k] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
	}
	a[p*n+q], a[q*n+p] = 0, 0
	for k := range n {
		x, y := v[k*n+p], v[k*n+q]
		v[k*n+p], v[k*n+q] = float64(c*x)-float64(s*y), float64(s*x)+float64(c*y)
	}
}
