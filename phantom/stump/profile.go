package stump

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// profile is the exact section of the stump by a half-plane through the insertion
// axis, from the margin inwards and up to the occlusal line angle. Coordinates are
// those of the die: origin at the margin's centroid, +Z the insertion axis, azimuth
// from mesial by way of buccal.
type profile struct {
	phi    float64
	at     []profilePoint
	height float64 // of the point that stands at 45° above the margin
	slope  float64 // dr/dz of the wall, negative where it narrows upwards
	width  float64 // of the shelf
	walled bool    // a wall was found
}

type profilePoint struct {
	r, z   float64
	n      r3.Vec // outward unit normal of the wall
	steep  float64
	onWall bool // the wall alone makes the surface here
}

// profileStep is the step of the walk, mm. Each step ends on the surface by Newton's
// method; only the crossings of angles are interpolated between steps, where the
// profile's angle is close to linear in arc length: errors under 2 µm.
const profileStep = 0.04

// wallSteep is the angle from the axis below which a profile is on the wall, and
// lineAngleTurn the one at which the wall has ended.
const (
	wallSteep     = 32 * math.Pi / 180
	lineAngleTurn = math.Pi / 4
	shelfTurn     = 10 * math.Pi / 180
)

// bareWall is the distance from the wall's field, mm, within which nothing else shares
// in the surface.
const bareWall = 1e-7

// beyondEdge is how far from the margin, besides its own rounding, a profile must
// have come before steepness means wall and not root, mm.
const beyondEdge = 0.05

// frame returns the motion from the tooth's frame to the die's. Its origin is the centroid
// of the margin as a line: each point counts by the length that it stands for. Equal steps
// of azimuth crowd on the near sides of a tooth that is no circle about its own axis, and
// the half-planes through their mean cut a narrow tooth's walls obliquely.
func (w *Stump) frame(margin []r3.Vec) r3.Rigid {
	var sum r3.Vec
	length := 0.0
	for i, p := range margin {
		q := margin[(i+1)%len(margin)]
		l := p.Dist(q)
		sum = sum.AddScaled(l/2, p.Add(q))
		length += l
	}
	z := w.Axis()
	x := r3.V(1, 0, 0).Reject(z).UnitOr(r3.V(1, 0, 0))
	return r3.FrameTo(sum.Scale(1/length), x, z.Cross(x), z)
}

// trace walks the profile at azimuth phi of the die frame g, from the point where
// the half-plane cuts the margin.
func (w *Stump) trace(g r3.Rigid, phi float64, start r3.Vec) profile {
	back := g.Inverse()
	s, c := math.Sincos(phi)
	at := func(r, z float64) (v, wall solid.Sample) {
		p := back.Point(r3.V(r*c, r*s, z))
		v, wall = w.Local(p), w.wallField(p)
		v.N, wall.N = g.Dir(v.N), g.Dir(wall.N)
		return v, wall
	}
	out := profile{phi: phi, slope: math.NaN(), width: math.NaN(), height: math.NaN()}
	q := g.Point(start)
	r, z := math.Hypot(q.X, q.Y), q.Z
	r0, z0 := r, z
	for range 600 {
		v, wall := at(r, z)
		nr, nz := v.N.X*c+v.N.Y*s, v.N.Z
		for range 3 { // back onto the surface, within the half-plane
			k := nr*nr + nz*nz
			r, z = r-v.D*nr/k, z-v.D*nz/k
			v, wall = at(r, z)
			nr, nz = v.N.X*c+v.N.Y*s, v.N.Z
			if math.Abs(v.D) < 1e-8 {
				break
			}
		}
		nr, nz = w.slopes(back, r, z, s, c)
		steep := math.Atan2(nz, nr) // of the tangent (-nz, nr), from the axis
		off := math.Hypot(r-r0, z-z0) > beyondEdge+2*w.shape.EdgeRadius
		out.at = append(out.at, profilePoint{
			r: r, z: z, n: wall.N, steep: steep,
			onWall: off && math.Abs(wall.D) < bareWall && steep < wallSteep,
		})
		if off && steep < wallSteep {
			out.walled = true
		}
		if out.walled && steep > lineAngleTurn || r < 0.2 {
			break
		}
		k := math.Hypot(nr, nz)
		r, z = r-profileStep*nz/k, z+profileStep*nr/k
	}
	out.read(z0)
	return out
}

// slopes returns the derivatives, by r and by z, of the stump's field in the half-plane
// with sine s and cosine c at a point of the die's frame, from differences of the field
// itself. [solid.Sample]'s gradient is that of a blend of even width: where the angle
// between wall and top changes along the profile, and with it the width, it is off by up
// to 12°, which is 0.15 mm of height at a rounded edge.
func (w *Stump) slopes(back r3.Rigid, r, z, s, c float64) (dr, dz float64) {
	at := func(r, z float64) float64 { return w.Local(back.Point(r3.V(r*c, r*s, z))).D }
	return (at(r+difference, z) - at(r-difference, z)) / (2 * difference), (at(r, z+difference) - at(r, z-difference)) / (2 * difference)
}

// difference is half the span of a difference quotient of the field, mm: errors are
// under 1e-7 where it is smooth.
const difference = 1e-4

// read takes height, slope and width from the points of the walk.
func (p *profile) read(z0 float64) {
	if !p.walled {
		return
	}
	last := len(p.at) - 1
	if a, b := p.at[last-1], p.at[last]; b.steep > lineAngleTurn {
		t := (lineAngleTurn - a.steep) / (b.steep - a.steep)
		p.height = a.z + t*(b.z-a.z) - z0
	}
	var n, sz, sr, szz, szr float64
	for _, q := range p.at {
		if q.onWall {
			z := q.z - z0
			n, sz, sr, szz, szr = n+1, sz+z, sr+q.r, szz+z*z, szr+z*q.r
		}
	}
	if n < 3 {
		return
	}
	p.slope = (n*szr - sz*sr) / (n*szz - sz*sz)
	own := -math.Atan(p.slope)
	p.width = 0 // of a tangential edge, which never turns so far
	for i := 1; i < len(p.at) && !p.at[i-1].onWall; i++ {
		a, b := p.at[i-1], p.at[i]
		if a.steep > own+shelfTurn && b.steep <= own+shelfTurn {
			t := (a.steep - own - shelfTurn) / (a.steep - b.steep)
			p.width = p.at[0].r - (a.r + t*(b.r-a.r))
			return
		}
	}
}

// taper returns the taper of the wall in the half-plane, radians.
func (p *profile) taper() float64 { return -math.Atan(p.slope) }
