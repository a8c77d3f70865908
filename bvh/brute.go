package bvh

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// Brute answers the queries of a [Tree] by looking at every face. It is the oracle that
// the tree is held to, and good enough for a mesh of a few dozen faces. Each query
// costs O(F).
type Brute struct{ Mesh *mesh.Mesh }

// Nearest is [Tree.Nearest].
func (b Brute) Nearest(p r3.Vec, max float64) (Near, bool) {
	best, d2 := nowhere(), max*max
	for f := range mesh.FaceID(len(b.Mesh.Tri)) {
		x, y, z := b.Mesh.Corners(f)
		q, _ := closest(x, y, z, p)
		if e := q.Dist2(p); e < d2 || e == d2 && best.Face == mesh.None {
			d2, best = e, Near{f, q, math.Sqrt(e)}
		}
	}
	return best, best.Face != mesh.None
}

// AllHits is [Tree.AllHits].
func (b Brute) AllHits(dst []Hit, o, d r3.Vec, tmin, tmax float64) []Hit {
	dst = dst[:0]
	r, ok := newBeam(o, d)
	if !ok {
		return dst
	}
	for f := range mesh.FaceID(len(b.Mesh.Tri)) {
		x, y, z := b.Mesh.Corners(f)
		if t, ok := r.hit(x, y, z); ok && t >= tmin && t <= tmax {
			dst = append(dst, Hit{f, t, o.AddScaled(t, d)})
		}
	}
	sortHits(dst)
	return dst
}

// Ray is [Tree.Ray].
func (b Brute) Ray(o, d r3.Vec, tmin, tmax float64) (Hit, bool) {
	h := b.AllHits(nil, o, d, tmin, tmax)
	if len(h) == 0 {
		return noHit(), false
	}
	return h[0], true
}

// InSphere is [Tree.InSphere].
func (b Brute) InSphere(dst []mesh.FaceID, c r3.Vec, r float64) []mesh.FaceID {
	return b.choose(dst, func(x, y, z r3.Vec) bool { return r >= 0 && touchesSphere(x, y, z, c, r) })
}

// InBox is [Tree.InBox].
func (b Brute) InBox(dst []mesh.FaceID, box r3.Box) []mesh.FaceID {
	return b.choose(dst, func(x, y, z r3.Vec) bool { return !box.Empty() && touchesBox(x, y, z, box) })
}

func (b Brute) choose(dst []mesh.FaceID, is func(x, y, z r3.Vec) bool) []mesh.FaceID {
	dst = dst[:0]
	for f := range mesh.FaceID(len(b.Mesh.Tri)) {
		if is(b.Mesh.Corners(f)) {
			dst = append(dst, f)
		}
	}
	return dst
}
