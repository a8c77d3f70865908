package r3

import "math"

// Vec is a point or a direction.
type Vec struct{ X, Y, Z float64 }

// V is shorthand for Vec{x, y, z}.
func V(x, y, z float64) Vec { return Vec{x, y, z} }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Scale returns s·a.
func (a Vec) Scale(s float64) Vec { return Vec{s * a.X, s * a.Y, s * a.Z} }

// AddScaled returns a + s·b.
func (a Vec) AddScaled(s float64, b Vec) Vec {
	return Vec{a.X + float64(s*b.X), a.Y + float64(s*b.Y), a.Z + float64(s*b.Z)}
}

// Neg returns -a.
func (a Vec) Neg() Vec { return Vec{-a.X, -a.Y, -a.Z} }

// Dot returns the scalar product a·b.
func (a Vec) Dot(b Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Cross returns the vector product a×b.
func (a Vec) Cross(b Vec) Vec {
	return Vec{
		float64(a.Y*b.Z) - float64(a.Z*b.Y),
		float64(a.Z*b.X) - float64(a.X*b.Z),
		float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

// Norm2 returns |a|².
func (a Vec) Norm2() float64 { return a.Dot(a) }

// Norm returns |a|.
func (a Vec) Norm() float64 { return math.Sqrt(a.Norm2()) }

// Dist returns |a - b|.
func (a Vec) Dist(b Vec) float64 { return a.Sub(b).Norm() }

// Dist2 returns |a - b|².
func (a Vec) Dist2(b Vec) float64 { return a.Sub(b).Norm2() }

// Unit returns a/|a|. ok is false for the zero vector and for a vector with a
// coordinate that is not finite; the vector returned is then zero.
func (a Vec) Unit() (u Vec, ok bool) {
	n := a.Norm()
	if n == 0 || math.IsNaN(n) || math.IsInf(n, 0) {
		return Vec{}, false
	}
	return a.Scale(1 / n), true
}

// UnitOr returns a/|a|, or fallback where a has no direction.
func (a Vec) UnitOr(fallback Vec) Vec {
	if u, ok := a.Unit(); ok {
		return u
	}
	return fallback
}

// Lerp returns a + t(b-a).
func (a Vec) Lerp(b Vec, t float64) Vec { return a.AddScaled(t, b.Sub(a)) }

// Reject returns the part of a that is perpendicular to the unit vector u.
func (a Vec) Reject(u Vec) Vec { return a.AddScaled(-a.Dot(u), u) }

// Finite reports whether all three coordinates are finite numbers.
func (a Vec) Finite() bool {
	s := a.X + a.Y + a.Z // a NaN or an infinity survives the sum, or cancels to NaN
	return !math.IsNaN(s) && !math.IsInf(s, 0) &&
		!math.IsInf(a.X, 0) && !math.IsInf(a.Y, 0) && !math.IsInf(a.Z, 0)
}

// Angle returns the angle between a and b in radians, 0 to π, by
// atan2(|a×b|, a·b), which keeps its digits near 0 and π. It is 0 if either
// vector is zero.
func (a Vec) Angle(b Vec) float64 { return math.Atan2(a.Cross(b).Norm(), a.Dot(b)) }

// Array returns the coordinates in order.
func (a Vec) Array() [3]float64 { return [3]float64{a.X, a.Y, a.Z} }

// Basis returns two unit vectors that make a right-handed triple (e1, e2, u)
// with the unit vector u. The choice is a deterministic function of u.
func (u Vec) Basis() (e1, e2 Vec) {
	h := Vec{1, 0, 0}
	if math.Abs(u.X) > 0.6 { // away from parallel: any bound between 1/√3 and 1 serves
		h = Vec{0, 1, 0}
	}
	e1 = h.Reject(u).UnitOr(Vec{0, 0, 1})
	return e1, u.Cross(e1)
}
