package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Principal holds the principal curvatures at a vertex in 1/mm, positive where the
// surface is convex, K1 ≥ K2, and their unit directions in the tangent plane. All is
// zero where they cannot be told.
type Principal struct {
	K1, K2 float64
	D1, D2 r3.Vec
}

// Mean returns (K1+K2)/2.
func (p Principal) Mean() float64 { return (p.K1 + p.K2) / 2 }

// Gauss returns K1·K2.
func (p Principal) Gauss() float64 { return p.K1 * p.K2 }

// Curvature returns the principal curvatures of every vertex, from a quadric fitted
// to the vertices within 2.5 times the spacing.
func Curvature(m *mesh.Mesh, topo *mesh.Topology) []Principal {
	return CurvatureWithin(m, topo, 2.5*Spacing(m))
}

// CurvatureWithin is [Curvature] with the radius of the neighbourhood in mm: a larger
// one averages noise, a smaller one resolves tighter edges.
func CurvatureWithin(m *mesh.Mesh, topo *mesh.Topology, radius float64) []Principal {
	out := make([]Principal, len(m.Pos))
	normals := VertexNormals(m)
	r := newRings(topo, len(m.Pos))
	for v := range m.Pos {
		out[v], _ = principal(m.Pos, r.within(m.Pos, mesh.VertexID(v), radius, 200), normals[v])
	}
	return out
}

// principal fits h = f + d·x + e·y + a/2·x² + b·xy + c/2·y² over the tangent plane to
// the points, the first of which is the vertex, and returns the curvatures of the
// fit there.
func principal(pos []r3.Vec, pts []mesh.VertexID, n r3.Vec) (Principal, bool) {
	if len(pts) < 6 || n == (r3.Vec{}) {
		return Principal{}, false
	}
	e1, e2 := n.Basis()
	o := pos[pts[0]]
	var a [6][6]float64
	var b [6]float64
	scale := 0.0
	for _, v := range pts {
		scale = max(scale, pos[v].Dist(o))
	}
	if scale == 0 {
		return Principal{}, false
	}
	for _, v := range pts {
		q := pos[v].Sub(o).Scale(1 / scale)
		x, y, h := q.Dot(e1), q.Dot(e2), q.Dot(n)
		row := [6]float64{1, x, y, x * x / 2, x * y, y * y / 2}
		for i := range 6 {
			for j := range 6 {
				a[i][j] += row[i] * row[j]
			}
			b[i] += row[i] * h
		}
	}
	c, ok := num.Solve6(a, b)
	if !ok {
		return Principal{}, false
	}
	return shape(c[1], c[2], c[3]/scale, c[4]/scale, c[5]/scale, e1, e2, n), true
}

// shape returns the principal curvatures of the height field h over (e1, e2, n) with
// the given slopes and second derivatives.
func shape(p, q, hxx, hxy, hyy float64, e1, e2, n r3.Vec) Principal {
	// Orthonormal tangent frame: t1 uphill, t2 level. In it the second form is
	// diagonal-free of the first form's stretching.
	g := math.Hypot(p, q)
	cx, cy := 1.0, 0.0
	if g > 0 {
		cx, cy = p/g, q/g
	}
	w := math.Sqrt(1 + g*g)
	uu := (cx*cx*hxx + 2*cx*cy*hxy + cy*cy*hyy) / (w * w * w)
	uv := (-cx*cy*hxx + (cx*cx-cy*cy)*hxy + cx*cy*hyy) / (w * w)
	vv := (cy*cy*hxx - 2*cx*cy*hxy + cx*cx*hyy) / w
	t1 := e1.Scale(cx).AddScaled(cy, e2).AddScaled(g, n).Scale(1 / w)
	t2 := e1.Scale(-cy).AddScaled(cx, e2)
	// A surface that falls away from its tangent plane is convex: k = -h''.
	mean, diff := -(uu+vv)/2, -(uu-vv)/2
	r := math.Hypot(diff, uv)
	th := 0.5 * math.Atan2(-uv, diff)
	s, c := math.Sincos(th)
	return Principal{
		K1: mean + r, K2: mean - r,
		D1: t1.Scale(c).AddScaled(s, t2), D2: t2.Scale(c).AddScaled(-s, t1),
	}
}
