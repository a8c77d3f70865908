package num

import "math"

// relPivot is the smallest pivot, as a share of its own diagonal entry, that a
// Cholesky factor accepts: below it fewer than two or three of the sixteen digits
// of a solution are left and the system is called singular.
const relPivot = 1e-13

// Cholesky factors the symmetric positive definite n×n matrix a (row by row, upper
// triangle read) into L·Lᵀ in place of its lower triangle. ok is false, and a is
// spoilt, where the matrix is singular to working precision or not finite.
func Cholesky(a []float64, n int) (ok bool) {
	for i := range n {
		for j := range i {
			a[i*n+j] = a[j*n+i]
		}
	}
	for j := range n {
		d := a[j*n+j]
		full := d
		for k := range j {
			d -= float64(a[j*n+k] * a[j*n+k])
		}
		if !(d > relPivot*full) || math.IsInf(d, 0) {
			return false
		}
		d = math.Sqrt(d)
		a[j*n+j] = d
		for i := j + 1; i < n; i++ {
			s := a[i*n+j]
			for k := range j {
				s -= float64(a[i*n+k] * a[j*n+k])
			}
			a[i*n+j] = s / d
		}
	}
	return true
}

// CholeskySolve solves L·Lᵀ·x = b for the factor left by [Cholesky], in place of b.
func CholeskySolve(l []float64, n int, b []float64) {
	for i := range n {
		s := b[i]
		for k := range i {
			s -= float64(l[i*n+k] * b[k])
		}
		b[i] = s / l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		s := b[i]
		for k := i + 1; k < n; k++ {
			s -= float64(l[k*n+i] * b[k])
		}
		b[i] = s / l[i*n+i]
	}
}

// Solve3 solves a·x = b for a symmetric positive definite a (upper triangle read).
// ok is false where a is singular to working precision.
func Solve3(a [3][3]float64, b [3]float64) (x [3]float64, ok bool) {
	var m [9]float64
	for i := range 3 {
		copy(m[3*i:], a[i][:])
	}
	if !Cholesky(m[:], 3) {
		return x, false
	}
	CholeskySolve(m[:], 3, b[:])
	return b, true
}

// Solve6 is [Solve3] for six unknowns.
//
// It is [Cholesky] and [CholeskySolve] written out for six, operation for operation,
// so the result is theirs to the last bit. A quadric is fitted at every vertex of a
// scan, and the general loops spend four fifths of their time on indices: with the
// size known, rows are arrays, no index is checked and the factor stays in place.
func Solve6(a [6][6]float64, b [6]float64) (x [6]float64, ok bool) {
	for j := range 6 {
		// The lower triangle takes the factor; row j of the upper one is not needed
		// again once it is copied below.
		d := a[j][j]
		full := d
		row := &a[j]
		for k := range j {
			d -= float64(row[k] * row[k])
		}
		if !(d > relPivot*full) || math.IsInf(d, 0) {
			return x, false
		}
		d = math.Sqrt(d)
		for i := j + 1; i < 6; i++ {
			s := row[i]
			low := &a[i]
			for k := range j {
				s -= float64(low[k] * row[k])
			}
			low[j] = s / d
		}
		row[j] = d
	}
	for i := range 6 {
		s := b[i]
		row := &a[i]
		for k := range i {
			s -= float64(row[k] * x[k])
		}
		x[i] = s / row[i]
	}
	for i := 5; i >= 0; i-- {
		s := x[i]
		for k := i + 1; k < 6; k++ {
			s -= float64(a[k][i] * x[k])
		}
		x[i] = s / a[i][i]
	}
	return x, true
}

// Inverse6 returns the inverse of the symmetric positive definite a (upper
// triangle read). ok is false where a is singular to working precision.
func Inverse6(a [6][6]float64) (inv [6][6]float64, ok bool) {
	var m [36]float64
	for i := range 6 {
		copy(m[6*i:], a[i][:])
	}
	if !Cholesky(m[:], 6) {
		return inv, false
	}
	for j := range 6 {
		var e [6]float64
		e[j] = 1
		CholeskySolve(m[:], 6, e[:])
		for i := range 6 {
			inv[i][j] = e[i]
		}
	}
	for i := range 6 { // symmetric to the last bit
		for j := range i {
			inv[i][j] = inv[j][i]
		}
	}
	return inv, true
}
