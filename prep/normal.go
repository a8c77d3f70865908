package prep

import (
	"math"

	"selvage/internal/num"
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

// The wall's course round the axis at a profile is fitted to the neighbours within
// courseReach mm of arc, at least courseFewest and at most courseMost (11 degrees) each
// way. One pair of noisy neighbours cannot give a direction; a fixed angle would reach
// far along the flat side of a thin tooth and round its corner.
const (
	courseReach  = 0.5
	courseFewest = 4
	courseMost   = 22
)

// Facets returns one facet per profile. With the wall ρ(φ, z) = A(φ) - B(φ)·z and N the
// outward normal of its level curve, a unit vector across the axis,
//
//	n ∝ N + B·(N·e_ρ)·e_z.
//
// B and A come from the profile's own least-squares line; N from a parabola through the
// neighbours' points at the middle height, in the plane itself: fitted to ρ(φ), the
// straight side of a thin tooth, ρ = c/cos φ, would be bent, and its taper near the
// corners 10 % too small. A profile without a wall, or with too few neighbours that have
// one, has OK false.
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
		trim := min(int(roundedEnd/m.Fan.Step), int(trimShare*float64(w.To-w.From)))
		top, bottom := p.Z[w.From+trim], p.Z[w.To-trim]
		zm := (top + bottom) / 2
		rho := w.At(zm)
		nx, ny, ok := m.courseNormal(i, zm)
		s, c := math.Sincos(p.Azimuth)
		along := nx*c + ny*s // N·e_ρ
		if !ok || rho <= 0 || along <= leastAlong {
			continue
		}
		f := &out[i]
		f.Normal, f.OK = r3.V(nx, ny, w.B*along).Unit()
		f.Middle = r3.V(rho*c, rho*s, zm)
		ru := w.At(top)
		f.Half = r3.V(ru*c, ru*s, top).Sub(f.Middle)
		length := float64(max(w.Inliers-2*trim, 0)) * m.Fan.Step
		f.Area = length * rho * dphi / along
	}
	return out
}

// roundedEnd is how far, in mm, the band of support reaches into the rounding at each
// end of a wall: a circle of radius 0.8 mm leaves its tangent by 25 µm over 0.2 mm. That
// much is no wall: it would take 0.04 off the resistance.
const roundedEnd = 0.2

// leastAlong is the cosine of the largest angle, 81°, between a wall's normal and the
// half-plane in which its profile was cut; beyond it the profile runs along the wall.
const leastAlong = 0.15

// courseNormal returns the outward unit normal, across the axis, of the wall's level
// curve at height z where profile i meets it.
func (m *Margin) courseNormal(i int, z float64) (nx, ny float64, ok bool) {
	n := len(m.Walls)
	at := func(k int) (x, y float64, ok bool) {
		w := &m.Walls[k]
		if !w.Found() {
			return 0, 0, false
		}
		s, c := math.Sincos(m.Fan.Profiles[k].Azimuth)
		r := w.At(z)
		return r * c, r * s, true
	}
	x0, y0, _ := at(i)
	var xs, ys []float64
	sides := [2]int{}
	for side, dir := range [2]int{-1, 1} {
		for d := 1; d <= courseMost; d++ {
			x, y, ok := at((i + dir*d + n) % n)
			if !ok {
				continue
			}
			if sides[side] >= courseFewest && math.Hypot(x-x0, y-y0) > courseReach {
				break
			}
			xs, ys = append(xs, x-x0), append(ys, y-y0)
			sides[side]++
		}
	}
	if min(sides[0], sides[1]) < courseFewest {
		return 0, 0, false
	}
	xs, ys = append(xs, 0), append(ys, 0)
	tx, ty := chord(xs, ys, sides[0])
	if tx == 0 && ty == 0 {
		return 0, 0, false
	}
	slope, ok := parabolaSlope(xs, ys, tx, ty)
	if !ok {
		return 0, 0, false
	}
	tx, ty = tx-slope*ty, ty+slope*tx
	l := math.Hypot(tx, ty)
	return ty / l, -tx / l, true // outward is to the right of the course
}

// chord returns the unit direction from the middle of the first before points to that
// of the rest but the last, which is the origin.
func chord(xs, ys []float64, before int) (tx, ty float64) {
	last := len(xs) - 1
	tx = num.Mean(xs[before:last]) - num.Mean(xs[:before])
	ty = num.Mean(ys[before:last]) - num.Mean(ys[:before])
	if l := math.Hypot(tx, ty); l > 0 {
		return tx / l, ty / l
	}
	return 0, 0
}

// parabolaSlope fits v = a + b·u + c·u², u along (tx, ty) and v to its left, and
// returns b.
func parabolaSlope(xs, ys []float64, tx, ty float64) (b float64, ok bool) {
	var a [3][3]float64
	var r [3]float64
	for k := range xs {
		u, v := xs[k]*tx+ys[k]*ty, ys[k]*tx-xs[k]*ty
		row := [3]float64{1, u, u * u}
		for p := range 3 {
			for q := range 3 {
				a[p][q] += row[p] * row[q]
			}
			r[p] += row[p] * v
		}
	}
	c, ok := num.Solve3(a, r)
	return c[1], ok
}
