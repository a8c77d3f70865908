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
func fitJet(pos []r3.Vec, normals []r3.Vec, pts []mesh.VertexID, radius float64) (j jet, ok bool) {
	j.n = normals[pts[0]]
	if j.n == (r3.Vec{}) || !(radius > 0) {
		return j, false
	}
	j.e1, j.e2 = j.n.Basis()
	o := pos[pts[0]]
	var a [jetUnknowns][jetUnknowns]float64
	var b [jetUnknowns]float64
	h2 := 0.0
	for _, v := range pts {
		if normals[v].Dot(j.n) < turned {
			continue
		}
		d := pos[v].Sub(o).Scale(1 / radius) // in units of radius the system is well scaled
		x, y, h := d.Dot(j.e1), d.Dot(j.e2), d.Dot(j.n)
		row := [jetUnknowns]float64{1, x, y, x * x / 2, x * y, y * y / 2}
		for i := range row {
			for k := i; k < jetUnknowns; k++ {
				a[i][k] += row[i] * row[k]
			}
			b[i] += row[i] * h
		}
		h2 += h * h
		j.num++
	}
	if j.num < jetUnknowns+2 {
		return j, false
	}
	c, ok := num.Solve6(a, b)
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
// plane is convex.
func (j *jet) principal() Principal {
	g := math.Hypot(j.p, j.q)
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
	r := math.Hypot(diff, uv)
	s, c := math.Sincos(0.5 * math.Atan2(-uv, diff))
	return Principal{
		K1: mean + r, K2: mean - r,
		D1: t1.Scale(c).AddScaled(s, t2), D2: t2.Scale(c).AddScaled(-s, t1),
	}
}
