package solid

import "selvage/r3"

// Sample is a field at a point: D is negative inside and near the surface the
// distance to it; N is the gradient, of length near 1 close to the surface.
type Sample struct {
	D float64
	N r3.Vec
}

// Field gives the sample at a point.
type Field func(p r3.Vec) Sample

// Neg returns the complement: outside becomes inside.
func (a Sample) Neg() Sample { return Sample{-a.D, a.N.Neg()} }

// Shift returns a with its surface moved outwards by d.
func (a Sample) Shift(d float64) Sample { return Sample{a.D - d, a.N} }

// lastStep is the value, mm, below which one more step of Newton's method ends: what
// remains is half its square over the least radius, 0.03 mm: 0.002 µm.
const lastStep = 3e-4

// newtonSteps bounds the iteration; a field with a unit gradient needs two.
const newtonSteps = 12

// Project moves p along the gradient to the surface of f by Newton's method. ok
// is false where it did not arrive or ended farther than reach from p; the point
// returned is then the best that was seen.
func Project(f Field, p r3.Vec, reach float64) (q r3.Vec, ok bool) {
	q = p
	for range newtonSteps {
		s := f(q)
		g2 := s.N.Norm2()
		if g2 < 1e-6 { // no direction to go: a point on a medial axis
			return q, false
		}
		last := s.D < lastStep && s.D > -lastStep
		step := s.D / g2
		step = max(-reach, min(reach, step))
		q = q.AddScaled(-step, s.N)
		if last {
			return q, q.Dist2(p) <= reach*reach
		}
	}
	s := f(q)
	return q, s.D < 1e-6 && s.D > -1e-6 && q.Dist2(p) <= reach*reach
}
