package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// jet is a quadric height field over the tangent plane of a vertex,
//
//	h(x, y) = f + p·x + q·y + a/2·x² + b·xy + c/2·y²,
//
// fitted by least squares to the points around it.
type jet struct {
	e1, e2, n        r3.Vec // the frame: x, y and h
	f, p, q, a, b, c float64
	sum2             float64 // sum of the squared residuals
	num              int     // points
}

// jetUnknowns is the number of coefficients of a jet.
const jetUnknowns = 6

// turned is the least cosine between the normal of a point and that of the vertex for
// the point to count: beyond 60° the surface is no height field over the plane.
const turned = 0.5

// fitJet fits the jet of pts[0] to pts. ok is false where they do not hold the six
// coefficients: fewer than eight points, or all near one conic.
//
// The normal equations of a quadric hold 21 sums of products of x and y, of which only
// fifteen differ: the moments up to x⁴, x³y … y⁴. Each is kept in a variable of its
// own, not in an array that is indexed for every point; halves and quarters are exact
// and come last.
func fitJet(pos []r3.Vec, normals []r3.Vec, pts []mesh.VertexID, radius float64) (j jet, ok bool) {
	j.n = normals[pts[0]]
	if j.n == (r3.Vec{}) || !(radius > 0) {
		return j, false
	}
	j.e1, j.e2 = j.n.Basis()
	o, n, e1, e2 := pos[pts[0]], j.n, j.e1, j.e2
	inv := 1 / radius // in units of radius the system is well scaled
	var m10, m01, m20, m11, m02, m30, m21, m12, m03, m40, m31, m22, m13, m04 float64
	var h00, h10, h01, h20, h11, h02, h2 float64
	count := 0
	for _, v := range pts {
		if normals[v].Dot(n) < turned {
			continue
		}
		d := pos[v].Sub(o).Scale(inv)
		x, y, h := d.Dot(e1), d.Dot(e2), d.Dot(n)
		xx, xy, yy := x*x, x*y, y*y
		m10, m01 = m10+x, m01+y
		m20, m11, m02 = m20+xx, m11+xy, m02+yy
		m30, m21 = m30+float64(xx*x), m21+float64(xx*y)
		m12, m03 = m12+float64(x*yy), m03+float64(yy*y)
		m40, m31, m22 = m40+float64(xx*xx), m31+float64(xx*xy), m22+float64(xy*xy)
		m13, m04 = m13+float64(xy*yy), m04+float64(yy*yy)
		h00, h10, h01 = h00+h, h10+float64(x*h), h01+float64(y*h)
		h20, h11, h02 = h20+float64(xx*h), h11+float64(xy*h), h02+float64(yy*h)
		h2 += float64(h * h)
		count++
	}
	j.num = count
	if count < jetUnknowns+2 {
		return j, false
	}
	// In the order of f, p, q, a, b, c: 1, x, y, x²/2, xy, y²/2.
	b := [jetUnknowns]float64{h00, h10, h01, h20 / 2, h11, h02 / 2}
	c, ok := num.Solve6([jetUnknowns][jetUnknowns]float64{
		{float64(count), m10, m01, m20 / 2, m11, m02 / 2},
		{0, m20, m11, m30 / 2, m21, m12 / 2},
		{0, 0, m02, m21 / 2, m12, m03 / 2},
		{0, 0, 0, m40 / 4, m31 / 2, m22 / 4},
		{0, 0, 0, 0, m22, m13 / 2},
		{0, 0, 0, 0, 0, m04 / 4},
	}, b)
	if !ok {
		return j, false
	}
	for i := range c {
		h2 -= c[i] * b[i]
	}
	j.sum2 = max(h2, 0) * radius * radius
	j.f, j.p, j.q = c[0]*radius, c[1], c[2]
	j.a, j.b, j.c = c[3]/radius, c[4]/radius, c[5]/radius
	return j, true
}

// principal returns the principal curvatures at the origin of the jet.
//
// With the first axis t1 uphill and the second t2 level, w = √(1+p²+q²) and g² = p²+q²,
// the second fundamental form in the orthonormal frame (t1, t2) is
//
//	huu/w³   huv/w²
//	huv/w²   hvv/w,
//
// its eigenvalues negated are the curvatures: a surface that falls away from its tangent
// plane is convex. The turn φ of the first direction is half of atan2(-huv, d) with d half
// the difference; its sine and cosine come of those of the whole angle by the formulas for
// half an angle, the one that does not cancel first.
func (j *jet) principal() Principal {
	g := math.Sqrt(j.p*j.p + j.q*j.q)
	cx, cy := 1.0, 0.0
	if g > 0 {
		cx, cy = j.p/g, j.q/g
	}
	w := math.Sqrt(1 + g*g)
	uu := (cx*cx*j.a + 2*cx*cy*j.b + cy*cy*j.c) / (w * w * w)
	uv := (cx*cy*(j.c-j.a) + (cx*cx-cy*cy)*j.b) / (w * w)
	vv := (cy*cy*j.a - 2*cx*cy*j.b + cx*cx*j.c) / w
	t1 := j.e1.Scale(cx).AddScaled(cy, j.e2).AddScaled(g, j.n).Scale(1 / w)
	t2 := j.e1.Scale(-cy).AddScaled(cx, j.e2)

	mean, diff := -(uu+vv)/2, -(uu-vv)/2
	r := math.Sqrt(diff*diff + uv*uv)
	s, c := halfTurn(diff, -uv, r)
	return Principal{
		K1: mean + r, K2: mean - r,
		D1: t1.Scale(c).AddScaled(s, t2), D2: t2.Scale(c).AddScaled(-s, t1),
	}
}

// halfTurn returns sine and cosine of half the angle of (x, y), whose length is r: the
// cosine is not negative. (0, 1) where r is 0.
func halfTurn(x, y, r float64) (s, c float64) {
	switch {
	case r == 0:
		return 0, 1
	case x >= 0:
		c = math.Sqrt((1 + x/r) / 2)
		return y / (2 * r * c), c
	default:
		s = math.Copysign(math.Sqrt((1-x/r)/2), y)
		return s, y / (2 * r * s)
	}
}
