package stump

import (
	"fmt"
	"math"

	"selvage/r3"
)

// marginPoints is the number of points of the true margin: one every half degree.
const marginPoints = 720

// MarginAt returns the margin's point at azimuth phi about the tooth's axis, in
// the tooth's frame: the middle of the rounded edge, where both faces have the
// value r(cos θ/2 - 1), r the edge's radius and θ its turn. Newton's method in the
// half-plane, from the height of the shelf.
func (w *Stump) MarginAt(phi float64) (r3.Vec, error) {
	s, c := math.Sincos(phi)
	dir := r3.V(c, s, 0)
	z, _ := w.MarginHeight(phi)
	o, _ := w.tooth.Form.Body.At(z)
	rho := (o.A + o.B) / 2
	for range 40 {
		p := dir.Scale(rho).Add(r3.V(0, 0, z))
		a, b := w.Faces(p)
		turn := a.N.Angle(b.N)
		level := w.shape.EdgeRadius * (math.Cos(turn/2) - 1)
		fa, fb := a.D-level, b.D-level
		ar, az, br, bz := a.N.Dot(dir), a.N.Z, b.N.Dot(dir), b.N.Z
		det := ar*bz - az*br
		if math.Abs(det) < 1e-9 {
			break
		}
		dr, dz := (fa*bz-az*fb)/det, (ar*fb-fa*br)/det
		rho -= math.Max(-0.3, math.Min(0.3, dr))
		z -= math.Max(-0.3, math.Min(0.3, dz))
		if math.Abs(dr)+math.Abs(dz) < 1e-10 {
			return dir.Scale(rho).Add(r3.V(0, 0, z)), nil
		}
	}
	return r3.Vec{}, fmt.Errorf("stump: no margin at azimuth %.1f°", phi*180/math.Pi)
}

// margin returns the true margin in the tooth's frame.
func (w *Stump) margin() ([]r3.Vec, error) {
	out := make([]r3.Vec, marginPoints)
	for i := range out {
		p, err := w.MarginAt(2 * math.Pi * float64(i) / marginPoints)
		if err != nil {
			return nil, err
		}
		out[i] = p
	}
	return out, nil
}
