package num

import "math"

// dependent is the share of a column that must be left once the columns before it are
// taken out; below, the column says nothing of its own but rounding.
const dependent = 1e-11

// LeastSquares returns the x of n unknowns that minimises |A·x - b|. a holds the rows of
// A one after the other, len(b) of them. ok is false where there are fewer rows than
// unknowns or the columns are dependent to working precision. a and b are overwritten.
//
// Method: Householder QR, which loses half as many digits to an ill-conditioned A as the
// normal equations. Cost: O(m·n²).
func LeastSquares(a, b []float64, n int) (x []float64, ok bool) {
	m := len(b)
	if len(a) != m*n {
		panic("num: a must hold len(b) rows of n")
	}
	if m < n {
		return nil, false
	}
	for k := range n {
		if !reflect(a, b, n, k) {
			return nil, false
		}
	}
	x = make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		s := b[i]
		for k := i + 1; k < n; k++ {
			s -= float64(a[i*n+k] * x[k])
		}
		x[i] = s / a[i*n+i]
	}
	return x, true
}

// reflect makes column k of A zero below the diagonal by the reflection that takes it to
// an axis, and reflects the columns behind it and b alike.
func reflect(a, b []float64, n, k int) bool {
	m := len(b)
	whole, rest := 0.0, 0.0
	for i := range m {
		s := float64(a[i*n+k] * a[i*n+k])
		whole += s
		if i >= k {
			rest += s
		}
	}
	if !(rest > dependent*dependent*whole) || math.IsInf(rest, 0) {
		return false
	}
	alpha := -math.Copysign(math.Sqrt(rest), a[k*n+k])
	v := make([]float64, m-k) // the mirror's normal
	v2 := 0.0
	for i := range v {
		v[i] = a[(k+i)*n+k]
		if i == 0 {
			v[i] -= alpha
		}
		v2 += float64(v[i] * v[i])
	}
	for j := k + 1; j < n; j++ {
		s := 0.0
		for i, x := range v {
			s += float64(x * a[(k+i)*n+j])
		}
		for i, x := range v {
			a[(k+i)*n+j] -= 2 * s / v2 * x
		}
	}
	s := 0.0
	for i, x := range v {
		s += float64(x * b[k+i])
	}
	for i, x := range v {
		b[k+i] -= 2 * s / v2 * x
	}
	a[k*n+k] = alpha
	return true
}
