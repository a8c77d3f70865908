package num

import "math"

// Circle is a circle in the plane.
type Circle struct{ X, Y, R float64 }

// circleSteps bounds the refinement of [FitCircle], circleStill ends it, relative to R.
const (
	circleSteps = 20
	circleStill = 1e-12
)

// FitCircle returns the circle from which the points are least far in the mean of
// squares, and the root of that mean. ok is false for fewer than three points, or points
// in line to working precision.
//
// The start is the least-squares solution of x²+y² + Bx + Cy + D = 0, which is linear but
// too small on short arcs with noise; Gauss-Newton steps on the distances follow. Over an
// arc of angle α noise σ moves the radius by about σ·27/(α²√n) for small α. Cost: O(n) per
// step, of about six.
func FitCircle(x, y []float64) (c Circle, rms float64, ok bool) {
	mx, my := Mean(x), Mean(y)
	var a []float64
	var b []float64
	for i := range x {
		u, v := x[i]-mx, y[i]-my
		a, b = append(a, u, v, 1), append(b, u*u+v*v)
	}
	s, ok := LeastSquares(a, b, 3)
	if !ok {
		return c, 0, false
	}
	c = Circle{X: s[0] / 2, Y: s[1] / 2}
	c.R = math.Sqrt(max(s[2]+c.X*c.X+c.Y*c.Y, 0))
	for range circleSteps {
		a, b = a[:0], b[:0]
		for i := range x {
			u, v := x[i]-mx-c.X, y[i]-my-c.Y
			d := math.Hypot(u, v)
			if d == 0 {
				continue
			}
			a, b = append(a, u/d, v/d, 1), append(b, d-c.R)
		}
		s, ok = LeastSquares(a, b, 3)
		if !ok {
			return c, 0, false
		}
		c.X, c.Y, c.R = c.X+s[0], c.Y+s[1], c.R+s[2]
		if math.Hypot(s[0], s[1])+math.Abs(s[2]) < circleStill*c.R {
			break
		}
	}
	sum := 0.0
	for i := range x {
		d := math.Hypot(x[i]-mx-c.X, y[i]-my-c.Y) - c.R
		sum += d * d
	}
	c.X, c.Y = c.X+mx, c.Y+my
	return c, math.Sqrt(sum / float64(len(x))), c.R > 0
}
