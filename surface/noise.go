package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Noise estimates the standard deviation of the scan's points along the surface
// normal in mm.
func Noise(m *mesh.Mesh, topo *mesh.Topology) (sigma float64, ok bool) {
	normals := VertexNormals(m)
	radius := 2.5 * Spacing(m)
	r := newRings(topo, len(m.Pos))
	stride := max(len(m.Pos)/20000, 1)
	var s []float64
	for v := 0; v < len(m.Pos); v += stride {
		pts := r.within(m.Pos, mesh.VertexID(v), radius, 200)
		if e, ok := residual(m.Pos, pts, normals[v]); ok {
			s = append(s, e)
		}
	}
	if len(s) < 50 {
		return 0, false
	}
	return num.Quantile(s, 0.4), true
}

// residual returns the root mean square of the points about their quadric, with the
// six degrees of freedom of the fit taken out.
func residual(pos []r3.Vec, pts []mesh.VertexID, n r3.Vec) (float64, bool) {
	if len(pts) < 12 || n == (r3.Vec{}) {
		return 0, false
	}
	e1, e2 := n.Basis()
	o := pos[pts[0]]
	var a [6][6]float64
	var b [6]float64
	h2 := 0.0
	for _, v := range pts {
		q := pos[v].Sub(o)
		x, y, h := q.Dot(e1), q.Dot(e2), q.Dot(n)
		row := [6]float64{1, x, y, x * x, x * y, y * y}
		for i := range 6 {
			for j := range 6 {
				a[i][j] += row[i] * row[j]
			}
			b[i] += row[i] * h
		}
		h2 += h * h
	}
	c, ok := num.Solve6(a, b)
	if !ok {
		return 0, false
	}
	for i := range 6 {
		h2 -= c[i] * b[i]
	}
	return math.Sqrt(max(h2, 0) / float64(len(pts)-6)), true
}
