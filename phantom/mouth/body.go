package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// Body is a solid whose cross-sections are convex outlines that change with
// height: the sides of a crown and its root.
type Body struct {
	mesial, distal, buccal, lingual Spline // half widths from the axis, over z
	squareness                      Spline
	skew, tri                       float64 // shares of A and of A²B²/(A³+B³)
}

// At returns the outline at height z and the rate at which it changes with z.
func (b *Body) At(z float64) (o, d Outline) {
	m, dm := b.mesial.At(z)
	t, dt := b.distal.At(z)
	f, df := b.buccal.At(z)
	l, dl := b.lingual.At(z)
	q, dq := b.squareness.At(z)
	o = Outline{X0: (m - t) / 2, Y0: (f - l) / 2, A: (m + t) / 2, B: (f + l) / 2, Q: q}
	d = Outline{X0: (dm - dt) / 2, Y0: (df - dl) / 2, A: (dm + dt) / 2, B: (df + dl) / 2, Q: dq}
	o.A, o.B = math.Max(o.A, thinnest), math.Max(o.B, thinnest)
	o.Skew, d.Skew = b.skew*o.A, b.skew*d.A
	// An ellipse bends least by B²/A or A²/B. A share of A²B²/(A³+B³), which is below
	// both, keeps the outline convex down to the thin edge of a front tooth.
	a2, b2 := o.A*o.A, o.B*o.B
	sum := a2*o.A + b2*o.B
	r := a2 * b2 / sum
	dr := 2*o.A*o.B*(d.A*o.B+o.A*d.B)/sum - r/sum*3*(a2*d.A+b2*d.B)
	o.Tri, d.Tri = b.tri*r, b.tri*dr
	return o, d
}

// thinnest keeps an outline from vanishing above the tooth, mm.
const thinnest = 0.05

// Field returns the signed distance to the sides, measured across the axis and
// divided by √(1+h_z²) so that its gradient has unit length on the surface.
func (b *Body) Field(p r3.Vec) solid.Sample {
	o, dz := b.At(p.Z)
	return Sides(&o, &dz, p)
}

// Sides returns the field of a solid with the outline o at the height of p, which
// changes with height at the rates dz.
func Sides(o, dz *Outline, p r3.Vec) solid.Sample {
	c, s, dist := o.Normal(p.X, p.Y)
	hz := o.slope(c, s, dz)
	k := 1 / math.Sqrt(1+hz*hz)
	return solid.Sample{D: dist * k, N: r3.V(c*k, s*k, -hz*k)}
}
