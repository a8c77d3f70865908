package curve

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// ringSteps is the number of azimuths at which a Ring keeps the curve: at 6 mm
// from the axis half a degree is 0.05 mm, half of a scan's spacing.
const ringSteps = 720

// Ring is a closed curve about an axis, a margin line for example, as a function
// of azimuth: how far out it runs and how high. It answers which points of a
// surface lie inside it and how far above it.
//
// The curve is taken to go once round the axis line through its centroid; where it
// crosses an azimuth more than once the outermost crossing stands.
type Ring struct {
	Centre r3.Vec // a point of the axis line: the length-weighted mean of the curve
	Axis   r3.Vec // unit
	e1, e2 r3.Vec
	rho, z [ringSteps]float64
}

// NewRing returns the ring of a closed curve about the unit vector axis. ok is
// false if the curve has fewer than three points or leaves an azimuth out. Cost:
// O(n + azimuths crossed).
func NewRing(c Polyline, axis r3.Vec) (r *Ring, ok bool) {
	if len(c.Pts) < 3 {
		return nil, false
	}
	c.Closed = true
	r = &Ring{Axis: axis, Centre: c.centroid()}
	r.e1, r.e2 = axis.Basis()
	for i := range r.rho {
		r.rho[i] = -1
	}
	for i := range c.Segments() {
		a, b := c.Segment(i)
		r.sweep(r.local(a), r.local(b))
	}
	for _, rho := range r.rho {
		if rho < 0 {
			return nil, false
		}
	}
	return r, true
}

// centroid returns the length-weighted mean of the curve.
func (c Polyline) centroid() r3.Vec {
	var sum r3.Vec
	var l float64
	for i := range c.Segments() {
		a, b := c.Segment(i)
		w := a.Dist(b)
		sum, l = sum.AddScaled(w, a.Lerp(b, 0.5)), l+w
	}
	if l == 0 {
		return c.Pts[0]
	}
	return sum.Scale(1 / l)
}

// local returns a point in the ring's frame: across, across, along the axis.
func (r *Ring) local(p r3.Vec) r3.Vec {
	d := p.Sub(r.Centre)
	return r3.V(d.Dot(r.e1), d.Dot(r.e2), d.Dot(r.Axis))
}

// sweep enters one segment at the azimuths that it crosses.
func (r *Ring) sweep(a, b r3.Vec) {
	from := math.Atan2(a.Y, a.X)
	turn := math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
	if turn < 0 {
		a, b = b, a
		from, turn = math.Atan2(a.Y, a.X), -turn
	}
	const step = 2 * math.Pi / ringSteps
	const both = 1e-9 // radians: an azimuth at a point belongs to both of its segments
	first := int(math.Ceil((from - both) / step))
	for k := first; float64(k)*step <= from+turn+both; k++ {
		s, c := math.Sincos(float64(k) * step)
		sa, sb := a.Y*c-a.X*s, b.Y*c-b.X*s
		t := 0.0
		if sa != sb {
			t = min(max(sa/(sa-sb), 0), 1)
		}
		p := a.Lerp(b, t)
		i := ((k % ringSteps) + ringSteps) % ringSteps
		if rho := p.X*c + p.Y*s; rho > r.rho[i] {
			r.rho[i], r.z[i] = rho, p.Z
		}
	}
}

// At returns the curve's distance from the axis line and its height along the axis
// over the centroid, at the azimuth of p.
func (r *Ring) At(p r3.Vec) (rho, z float64) {
	rho, z, _ = r.at(r.local(p))
	return rho, z
}

func (r *Ring) at(q r3.Vec) (rho, z, own float64) {
	t := math.Atan2(q.Y, q.X) * (ringSteps / (2 * math.Pi))
	if t < 0 {
		t += ringSteps
	}
	i := int(t)
	t -= float64(i)
	i %= ringSteps
	j := (i + 1) % ringSteps
	return r.rho[i] + t*(r.rho[j]-r.rho[i]), r.z[i] + t*(r.z[j]-r.z[i]), math.Hypot(q.X, q.Y)
}

// Above returns how far p lies above the curve along the axis, in mm, at p's own
// azimuth, and how far inside it, across the axis: both are negative on the other
// side.
func (r *Ring) Above(p r3.Vec) (height, inside float64) {
	q := r.local(p)
	rho, z, own := r.at(q)
	return q.Z - z, rho - own
}

// Faces returns the faces of m that lie inside the ring: whose centroid is above
// the curve and nearer to the axis, in the one connected piece with the largest
// area, so that a crumb in the air above a preparation does not count. It reaches
// up to height mm above the curve at most; topo is the topology of m. Cost: O(F).
func (r *Ring) Faces(m *mesh.Mesh, topo *mesh.Topology, height float64) []mesh.FaceID {
	in := make([]bool, len(m.Tri))
	// A scan has a hundred faces for one inside the ring, and nearly all of them lie
	// farther out or deeper than the curve does anywhere: an arc tangent each saved.
	far, deep := 0.0, math.Inf(1)
	for i, rho := range r.rho {
		far, deep = max(far, rho), min(deep, r.z[i])
	}
	far2 := far * far * (1 + 1e-9) // never within rounding of what is inside
	for f := range in {
		q := r.local(m.Centroid(mesh.FaceID(f)))
		if q.X*q.X+q.Y*q.Y > far2 || q.Z < deep {
			continue
		}
		rho, z, own := r.at(q)
		h := q.Z - z
		in[f] = h >= 0 && h <= height && rho-own >= 0
	}
	var best []mesh.FaceID
	var most float64
	for f := range in {
		if !in[f] {
			continue
		}
		piece, area := flood(m, topo, in, mesh.FaceID(f))
		if area > most {
			best, most = piece, area
		}
	}
	marked := make([]bool, len(m.Tri))
	for _, f := range best {
		marked[f] = true
	}
	best = best[:0]
	for f, yes := range marked {
		if yes {
			best = append(best, mesh.FaceID(f))
		}
	}
	return best
}

// flood takes the piece of in that holds f out of in, and returns it with its area.
func flood(m *mesh.Mesh, topo *mesh.Topology, in []bool, f mesh.FaceID) (piece []mesh.FaceID, area float64) {
	in[f] = false
	piece = append(piece, f)
	for i := 0; i < len(piece); i++ {
		area += m.AreaVector(piece[i]).Norm()
		for k := range 3 {
			p := topo.Pair[piece[i].Halfedge(k)]
			if p == mesh.None || !in[p.Face()] {
				continue
			}
			in[p.Face()] = false
			piece = append(piece, p.Face())
		}
	}
	return piece, area
}
