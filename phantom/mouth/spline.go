package mouth

// Knot is a point of a [Spline].
type Knot struct{ X, Y float64 }

// Spline is a natural cubic spline: twice continuously differentiable, straight
// beyond its ends.
type Spline struct {
	knots []Knot
	m     []float64 // second derivatives at the knots
}

// NewSpline returns the spline through the knots, whose X must rise.
func NewSpline(knots ...Knot) Spline {
	n := len(knots)
	s := Spline{knots: knots, m: make([]float64, n)}
	if n < 3 {
		return s
	}
	// Thomas algorithm for the tridiagonal system of the second derivatives.
	c, d := make([]float64, n), make([]float64, n)
	for i := 1; i < n-1; i++ {
		h0, h1 := knots[i].X-knots[i-1].X, knots[i+1].X-knots[i].X
		rhs := 6 * ((knots[i+1].Y-knots[i].Y)/h1 - (knots[i].Y-knots[i-1].Y)/h0)
		w := 2*(h0+h1) - h0*c[i-1]
		c[i] = h1 / w
		d[i] = (rhs - h0*d[i-1]) / w
	}
	for i := n - 2; i > 0; i-- {
		s.m[i] = d[i] - c[i]*s.m[i+1]
	}
	return s
}

// At returns value and slope at x.
func (s *Spline) At(x float64) (y, dy float64) {
	k := s.knots
	n := len(k)
	switch {
	case n == 1:
		return k[0].Y, 0
	case x <= k[0].X:
		_, dy = s.piece(0, k[0].X)
		return k[0].Y + dy*(x-k[0].X), dy
	case x >= k[n-1].X:
		_, dy = s.piece(n-2, k[n-1].X)
		return k[n-1].Y + dy*(x-k[n-1].X), dy
	}
	i := 0
	for x > k[i+1].X {
		i++
	}
	return s.piece(i, x)
}

func (s *Spline) piece(i int, x float64) (y, dy float64) {
	a, b := s.knots[i], s.knots[i+1]
	h := b.X - a.X
	t, u := (x-a.X)/h, (b.X-x)/h
	y = u*a.Y + t*b.Y + h*h/6*((u*u*u-u)*s.m[i]+(t*t*t-t)*s.m[i+1])
	dy = (b.Y-a.Y)/h + h/6*((1-3*u*u)*s.m[i]+(3*t*t-1)*s.m[i+1])
	return y, dy
}
