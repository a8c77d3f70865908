package prep

import (
	"math"

	"selvage/r3"
)

// Facet is the straight wall at one azimuth of a fan as a piece of surface: its
// outward unit normal, its area and its middle, in the preparation's frame.
type Facet struct {
	Normal r3.Vec
	Area   float64 // mm²: wall length × the breadth of one azimuth step
	Middle r3.Vec
	Half   r3.Vec // from the middle to the wall's upper end
	OK     bool
}

// slopeReach is how many profiles each way give the wall's course round the axis
// (8 degrees). The normal needs the derivative of the wall's distance by azimuth,
// which one pair of noisy neighbours cannot give.
const slopeReach = 16

// Facets returns one facet per profile. With the wall ρ(φ, z) = A(φ) - B(φ)·z the
// outward normal is
//
//	n ∝ e_ρ - (∂ρ/∂φ)/ρ · e_φ + B · e_z.
//
// B and A come from the profile's own least-squares line; the derivative from a
// straight line through A - B·z over eight degrees each way. A profile without a
// wall, or with too few neighbours that have one, has OK false.
func (m *Margin) Facets() []Facet {
	n := len(m.Walls)
	out := make([]Facet, n)
	dphi := 2 * math.Pi / float64(n)
	for i := range out {
		w := &m.Walls[i]
		if !w.Found() {
			continue
		}
		p := &m.Fan.Profiles[i]
		top, bottom := p.Z[w.From], p.Z[w.To]
		zm := (top + bottom) / 2
		rho := w.At(zm)
		d, ok := m.courseSlope(i, zm, dphi)
		if !ok || rho <= 0 {
			continue
		}
		s, c := math.Sincos(p.Azimuth)
		q := d / rho
		nv := r3.V(c+q*s, s-q*c, w.B)
		f := &out[i]
		f.Normal, f.OK = nv.Unit()
		f.Middle = r3.V(rho*c, rho*s, zm)
		ru := w.At(top)
		f.Half = r3.V(ru*c, ru*s, top).Sub(f.Middle)
		length := float64(w.Inliers) * m.Fan.Step
		f.Area = length * rho * dphi * math.Hypot(1, q)
	}
	return out
}

// courseSlope fits the wall's distance at height z against azimuth over the
// neighbours and returns its derivative at profile i.
func (m *Margin) courseSlope(i int, z, dphi float64) (float64, bool) {
	n := len(m.Walls)
	var cnt, sx, sy, sxx, sxy float64
	for d := -slopeReach; d <= slopeReach; d++ {
		w := &m.Walls[(i+d+n)%n]
		if !w.Found() {
			continue
		}
		x, y := float64(d)*dphi, w.At(z)
		cnt++
		sx += x
		sy += y
		sxx += x * x
		sxy += x * y
	}
	if cnt < slopeReach {
		return 0, false
	}
	sxx -= sx * sx / cnt
	sxy -= sx * sy / cnt
	if sxx == 0 {
		return 0, false
	}
	return sxy / sxx, true
}
