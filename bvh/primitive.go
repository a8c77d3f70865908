package bvh

import (
	"math"

	"selvage/r3"
)

// feature names the part of a triangle that a nearest point lies on: the inside,
// one of the edges (edge i runs from corner i to corner i+1), or a corner.
type feature uint8

const (
	inside  feature = 0
	edge0   feature = 1
	corner0 feature = 4
)

// closest returns the point of triangle abc nearest to p and the part of the
// triangle it lies on. A degenerate triangle is handled as its edges.
// Method: Voronoi regions of the features in barycentric terms
// [Ericson2005, §5.1.5].
func closest(a, b, c, p r3.Vec) (r3.Vec, feature) {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a, corner0
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b, corner0 + 1
	}
	vc := float64(d1*d4) - float64(d3*d2)
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.AddScaled(d1/(d1-d3), ab), edge0
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c, corner0 + 2
	}
	vb := float64(d5*d2) - float64(d1*d6)
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.AddScaled(d2/(d2-d6), ac), edge0 + 2
	}
	va := float64(d3*d6) - float64(d5*d4)
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.AddScaled((d4-d3)/((d4-d3)+(d5-d6)), c.Sub(b)), edge0 + 1
	}
	s := va + vb + vc
	return a.AddScaled(vb/s, ab).AddScaled(vc/s, ac), inside
}

// beam is a ray made ready for watertight triangle tests: the axes permuted so that
// the direction's largest component is the last, and the shear that makes the ray
// the last axis.
type beam struct {
	o, d       r3.Vec
	kx, ky, kz int
	sx, sy, sz float64
}

func newBeam(o, d r3.Vec) beam {
	v := d.Array()
	kz := 0
	if math.Abs(v[1]) > math.Abs(v[kz]) {
		kz = 1
	}
	if math.Abs(v[2]) > math.Abs(v[kz]) {
		kz = 2
	}
	kx, ky := (kz+1)%3, (kz+2)%3
	return beam{o: o, d: d, kx: kx, ky: ky, kz: kz, sx: v[kx] / v[kz], sy: v[ky] / v[kz], sz: 1 / v[kz]}
}

// hit returns the parameter at which the beam meets triangle abc, from either side.
// Two triangles that share an edge use the same products for it, so that a ray
// through the edge cannot slip between them; where it meets the edge or a corner
// exactly, both are hit. A triangle parallel to the beam is not hit.
// Method: [Woop2013].
func (r *beam) hit(a, b, c r3.Vec) (t float64, ok bool) {
	ax, ay, az := r.shear(a)
	bx, by, bz := r.shear(b)
	cx, cy, cz := r.shear(c)
	u := float64(cx*by) - float64(cy*bx)
	v := float64(ax*cy) - float64(ay*cx)
	w := float64(bx*ay) - float64(by*ax)
	if (u < 0 || v < 0 || w < 0) && (u > 0 || v > 0 || w > 0) {
		return 0, false
	}
	det := u + v + w
	if det == 0 || math.IsNaN(det) {
		return 0, false
	}
	return (float64(u*az) + float64(v*bz) + float64(w*cz)) / det, true
}

func (r *beam) shear(p r3.Vec) (x, y, z float64) {
	q := p.Sub(r.o).Array()
	z = q[r.kz]
	return q[r.kx] - float64(r.sx*z), q[r.ky] - float64(r.sy*z), float64(r.sz * z)
}
