package bvh

import (
	"math"
	"slices"
	"sort"

	"selvage/mesh"
	"selvage/r3"
)

// Nearest returns the point of the surface nearest to p and no farther than max;
// ok is false where there is none. Equal distances go to the lowest face id.
func (t *Tree) Nearest(p r3.Vec, max float64) (Near, bool) {
	best, d2 := nowhere(), max*max
	t.visit(func(b r3.Box) bool { return b.Dist2(p) <= d2*(1+1e-12) }, func(f mesh.FaceID) {
		a, b, c := t.Mesh.Corners(f)
		q, _ := closest(a, b, c, p)
		if e := q.Dist2(p); e < d2 || e == d2 && (best.Face == mesh.None || f < best.Face) {
			d2, best = e, Near{f, q, math.Sqrt(e)}
		}
	})
	return best, best.Face != mesh.None
}

// NearestAll returns the answer of [Tree.Nearest] for every point.
func (t *Tree) NearestAll(pts []r3.Vec, max float64) []Near {
	out := make([]Near, len(pts))
	for i, p := range pts {
		out[i], _ = t.Nearest(p, max)
	}
	return out
}

// Ray returns the first hit of o + T·d with tmin ≤ T ≤ tmax, from either side of
// the surface.
func (t *Tree) Ray(o, d r3.Vec, tmin, tmax float64) (Hit, bool) {
	h := t.AllHits(nil, o, d, tmin, tmax)
	if len(h) == 0 {
		return Hit{Face: mesh.None, T: math.Inf(1)}, false
	}
	return h[0], true
}

// Occluded reports whether anything is hit with tmin ≤ T ≤ tmax.
func (t *Tree) Occluded(o, d r3.Vec, tmin, tmax float64) bool {
	_, ok := t.Ray(o, d, tmin, tmax)
	return ok
}

// AllHits appends every hit with tmin ≤ T ≤ tmax to dst[:0], in order of T, then
// of face id.
func (t *Tree) AllHits(dst []Hit, o, d r3.Vec, tmin, tmax float64) []Hit {
	dst = dst[:0]
	r := newBeam(o, d)
	t.visit(func(b r3.Box) bool { return slab(b, o, d, tmin, tmax) }, func(f mesh.FaceID) {
		a, b, c := t.Mesh.Corners(f)
		if s, ok := r.hit(a, b, c); ok && s >= tmin && s <= tmax {
			dst = append(dst, Hit{f, s, o.AddScaled(s, d)})
		}
	})
	sort.Slice(dst, func(i, j int) bool {
		return dst[i].T < dst[j].T || dst[i].T == dst[j].T && dst[i].Face < dst[j].Face
	})
	return dst
}

// InSphere appends to dst[:0] the faces with a point no farther than r from c, in
// ascending order.
func (t *Tree) InSphere(dst []mesh.FaceID, c r3.Vec, r float64) []mesh.FaceID {
	dst = dst[:0]
	t.visit(func(b r3.Box) bool { return b.Dist2(c) <= r*r*(1+1e-12) }, func(f mesh.FaceID) {
		x, y, z := t.Mesh.Corners(f)
		if q, _ := closest(x, y, z, c); q.Dist2(c) <= r*r {
			dst = append(dst, f)
		}
	})
	slices.Sort(dst)
	return dst
}

// InBox appends to dst[:0] the faces whose bounding box meets box, in ascending
// order.
func (t *Tree) InBox(dst []mesh.FaceID, box r3.Box) []mesh.FaceID {
	dst = dst[:0]
	meets := func(b r3.Box) bool {
		return b.Min.X <= box.Max.X && b.Max.X >= box.Min.X && b.Min.Y <= box.Max.Y &&
			b.Max.Y >= box.Min.Y && b.Min.Z <= box.Max.Z && b.Max.Z >= box.Min.Z
	}
	t.visit(meets, func(f mesh.FaceID) {
		if meets(r3.BoxOf(corners(t.Mesh, f)...)) {
			dst = append(dst, f)
		}
	})
	slices.Sort(dst)
	return dst
}

// SignedDistance returns the distance to the nearest point of the surface no
// farther than max, positive on the outside.
func (t *Tree) SignedDistance(p r3.Vec, max float64) (float64, bool) {
	n, ok := t.Nearest(p, max)
	if !ok {
		return math.Inf(1), false
	}
	if t.Mesh.AreaVector(n.Face).Dot(p.Sub(n.Point)) < 0 {
		return -n.D, true
	}
	return n.D, true
}

func corners(m *mesh.Mesh, f mesh.FaceID) []r3.Vec {
	a, b, c := m.Corners(f)
	return []r3.Vec{a, b, c}
}

func (t *Tree) visit(enter func(r3.Box) bool, leaf func(mesh.FaceID)) {
	if len(t.nodes) == 0 {
		return
	}
	stack := []int32{0}
	for len(stack) > 0 {
		n := &t.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if !enter(n.box) {
			continue
		}
		if n.num > 0 {
			for _, f := range t.order[n.first : n.first+n.num] {
				leaf(f)
			}
			continue
		}
		stack = append(stack, n.right, n.left)
	}
}

func slab(b r3.Box, o, d r3.Vec, t0, t1 float64) bool {
	lo, hi, p, v := b.Min.Array(), b.Max.Array(), o.Array(), d.Array()
	for i := range 3 {
		if v[i] == 0 {
			if p[i] < lo[i] || p[i] > hi[i] {
				return false
			}
			continue
		}
		x, y := (lo[i]-p[i])/v[i], (hi[i]-p[i])/v[i]
		t0, t1 = max(t0, min(x, y)), min(t1, max(x, y))
	}
	return t0 <= t1
}
