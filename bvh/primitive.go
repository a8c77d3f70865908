package bvh

import (
	"math"

	"selvage/r3"
)

// feature names the part of a triangle that a nearest point lies on: its inside,
// edge i (from corner i to corner i+1), or corner i.
type feature uint8

const (
	inside  feature = 0
	edge0   feature = 1
	corner0 feature = 4
)

// closest returns the point of triangle abc nearest to p and the part of the
// triangle that it lies on. The point is a convex combination of corners whatever the
// rounding, so it never leaves the triangle's box; the pruning rests on that.
//
// Method: the Voronoi regions of the features [Ericson2005, §5.1.5]. Where rounding
// leaves no region (slivers, collinear corners) the nearest of the three edges is
// taken.
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
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c, corner0 + 2
	}
	vc := float64(d1*d4) - float64(d3*d2)
	if vc <= 0 && d1 >= 0 && d3 <= 0 && d1 > d3 {
		return a.AddScaled(d1/(d1-d3), ab), edge0
	}
	vb := float64(d5*d2) - float64(d1*d6)
	if vb <= 0 && d2 >= 0 && d6 <= 0 && d2 > d6 {
		return a.AddScaled(d2/(d2-d6), ac), edge0 + 2
	}
	va := float64(d3*d6) - float64(d5*d4)
	if e, g := d4-d3, d5-d6; va <= 0 && e >= 0 && g >= 0 && e+g > 0 {
		return b.AddScaled(e/(e+g), c.Sub(b)), edge0 + 1
	}
	if va > 0 && vb > 0 && vc > 0 {
		s := 1 / (va + vb + vc)
		return a.AddScaled(vb*s, ab).AddScaled(vc*s, ac), inside
	}
	return closestEdge([3]r3.Vec{a, b, c}, p)
}

// closestEdge is [closest] for the three edges alone; the lowest wins a tie.
func closestEdge(tri [3]r3.Vec, p r3.Vec) (r3.Vec, feature) {
	best, part, d2 := tri[0], corner0, tri[0].Dist2(p)
	for i := range 3 {
		a, d := tri[i], tri[(i+1)%3].Sub(tri[i])
		t := p.Sub(a).Dot(d) / d.Norm2()
		f := edge0 + feature(i)
		switch {
		case !(t > 0): // NaN for an edge without length
			t, f = 0, corner0+feature(i)
		case t >= 1:
			t, f = 1, corner0+feature((i+1)%3)
		}
		if q := a.AddScaled(t, d); q.Dist2(p) < d2 {
			best, part, d2 = q, f, q.Dist2(p)
		}
	}
	return best, part
}

// beam is a ray made ready for watertight triangle tests: the axes turned so that the
// direction's largest component is the last, and the shear that makes the ray the
// last axis.
type beam struct {
	o, d       r3.Vec
	kz         int // the axis of d's largest component; the others follow in turn
	sx, sy, sz float64
}

// newBeam prepares the ray from o in direction d; ok is false for a ray that has no
// direction or is not finite, which hits nothing.
func newBeam(o, d r3.Vec) (r beam, ok bool) {
	v := d.Array()
	kz := 0
	for k := range 3 {
		if math.Abs(v[k]) > math.Abs(v[kz]) {
			kz = k
		}
	}
	if v[kz] == 0 || !d.Finite() || !o.Finite() {
		return r, false
	}
	kx, ky := (kz+1)%3, (kz+2)%3
	return beam{o: o, d: d, kz: kz, sx: v[kx] / v[kz], sy: v[ky] / v[kz], sz: 1 / v[kz]}, true
}

// hit returns the parameter at which the beam meets triangle abc, from either side.
//
// Two triangles that share an edge take the same products for it, so a ray through an
// edge cannot slip between them; where it meets an edge or a corner exactly, every
// triangle there is hit. A triangle that the beam sees edge-on is not.
//
// The products round, but never to the wrong sign, only to zero; so no true hit is lost,
// and the false ones, of triangles that shrink to a line or a point as seen along the
// beam, are those whose outline's box misses the beam. Nearly edge-on the parameter has
// few digits; it is held within the stretch of the beam inside the triangle's box, where
// the true one is. The pruning rests on both.
//
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
	if det == 0 || math.IsNaN(det) || min(ax, bx, cx) > 0 || max(ax, bx, cx) < 0 ||
		min(ay, by, cy) > 0 || max(ay, by, cy) < 0 {
		return 0, false
	}
	t = (float64(u*az) + float64(v*bz) + float64(w*cz)) / det
	return r.hold(a, b, c, t), true
}

// shear returns p in the beam's frame: across it, and along it in lengths of d.
//
// WHY the switch: picking a coordinate by a number that is not known sends all three
// through memory; which way a beam runs is known to the branch predictor after one face.
func (r *beam) shear(p r3.Vec) (x, y, z float64) {
	q := p.Sub(r.o)
	switch r.kz {
	case 0:
		x, y, z = q.Y, q.Z, q.X
	case 1:
		x, y, z = q.Z, q.X, q.Y
	default:
		x, y, z = q.X, q.Y, q.Z
	}
	return x - float64(r.sx*z), y - float64(r.sy*z), float64(r.sz * z)
}

// hold returns t moved into the stretch of the beam inside the box of abc.
func (r *beam) hold(a, b, c r3.Vec, t float64) float64 {
	o, d := r.o.Array(), r.d.Array()
	p, q, s := a.Array(), b.Array(), c.Array()
	t0, t1 := math.Inf(-1), math.Inf(1)
	for k := range 3 {
		if d[k] == 0 {
			continue
		}
		x := (min(p[k], q[k], s[k]) - o[k]) / d[k]
		y := (max(p[k], q[k], s[k]) - o[k]) / d[k]
		t0, t1 = max(t0, min(x, y)), min(t1, max(x, y))
	}
	return max(t0, min(t, t1))
}
