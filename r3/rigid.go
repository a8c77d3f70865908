package r3

import "math"

// Mat is a 3×3 matrix, row by row.
type Mat [3]Vec

// Identity returns the unit matrix.
func Identity() Mat { return Mat{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} }

// Apply returns M·v.
func (m Mat) Apply(v Vec) Vec { return Vec{m[0].Dot(v), m[1].Dot(v), m[2].Dot(v)} }

// T returns the transpose.
func (m Mat) T() Mat {
	return Mat{
		{m[0].X, m[1].X, m[2].X},
		{m[0].Y, m[1].Y, m[2].Y},
		{m[0].Z, m[1].Z, m[2].Z},
	}
}

// Mul returns M·N.
func (m Mat) Mul(n Mat) Mat {
	t := n.T()
	var r Mat
	for i := range r {
		r[i] = Vec{m[i].Dot(t[0]), m[i].Dot(t[1]), m[i].Dot(t[2])}
	}
	return r
}

// Det returns the determinant.
func (m Mat) Det() float64 { return m[0].Dot(m[1].Cross(m[2])) }

// Rotation returns the rotation by angle radians about the unit vector axis,
// counter-clockwise seen against it (Rodrigues).
func Rotation(axis Vec, angle float64) Mat {
	s, c := math.Sincos(angle)
	k := 1 - c
	a := axis
	return Mat{
		{c + float64(k*a.X*a.X), float64(k*a.X*a.Y) - float64(s*a.Z), float64(k*a.X*a.Z) + float64(s*a.Y)},
		{float64(k*a.Y*a.X) + float64(s*a.Z), c + float64(k*a.Y*a.Y), float64(k*a.Y*a.Z) - float64(s*a.X)},
		{float64(k*a.Z*a.X) - float64(s*a.Y), float64(k*a.Z*a.Y) + float64(s*a.X), c + float64(k*a.Z*a.Z)},
	}
}

// RotationBetween returns the smallest rotation that takes the unit vector a
// to the unit vector b. For opposite vectors the axis is the first of a.Basis.
func RotationBetween(a, b Vec) Mat {
	axis, ok := a.Cross(b).Unit()
	if !ok {
		axis, _ = a.Basis()
	}
	return Rotation(axis, a.Angle(b))
}

// Rigid is a rotation followed by a translation: p ↦ R·p + T.
type Rigid struct {
	R Mat
	T Vec
}

// Still returns the motion that moves nothing.
func Still() Rigid { return Rigid{R: Identity()} }

// Point returns the image of a point.
func (g Rigid) Point(p Vec) Vec { return g.R.Apply(p).Add(g.T) }

// Dir returns the image of a direction.
func (g Rigid) Dir(d Vec) Vec { return g.R.Apply(d) }

// After returns the motion that does h first, then g.
func (g Rigid) After(h Rigid) Rigid { return Rigid{R: g.R.Mul(h.R), T: g.Point(h.T)} }

// Inverse returns the motion that undoes g. R must be a rotation.
func (g Rigid) Inverse() Rigid {
	rt := g.R.T()
	return Rigid{R: rt, T: rt.Apply(g.T).Neg()}
}

// Angle returns the rotation's angle in radians, 0 to π.
func (g Rigid) Angle() float64 {
	r := g.R
	s := Vec{r[2].Y - r[1].Z, r[0].Z - r[2].X, r[1].X - r[0].Y}.Norm()
	return math.Atan2(s, r[0].X+r[1].Y+r[2].Z-1)
}

// FrameTo returns the motion that takes world coordinates to coordinates in the
// frame with the given origin and right-handed orthonormal axes.
func FrameTo(origin, x, y, z Vec) Rigid {
	r := Mat{x, y, z}
	return Rigid{R: r, T: r.Apply(origin).Neg()}
}
