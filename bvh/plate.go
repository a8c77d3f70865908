package bvh

import (
	"math"

	"selvage/r3"
)

// plate is a round slab that holds a patch of surface: the points no farther than t from
// the plane through c with the normal n, and no farther than r from the axis along n. In
// single precision and relative to the tree's origin. A plate without normal (n = 0, t =
// 0) is a ball.
//
// WHY: a scan's surface is nearly flat at the scale of its triangles, and seldom level. A
// box about a slanted patch reaches towards the asker by half the patch's size, and all
// patches around the nearest point have to be opened; a plate reaches out by its sag, a
// hundredth of that.
type plate struct {
	c, n [3]float32
	r, t float32
}

// newPlate returns the plate about points, with the direction of n, whose axis passes the
// middle c. What rounding its parts to single precision moves is under a quarter of the
// pad each.
func newPlate(pts []r3.Vec, c, n r3.Vec, pad float64) plate {
	u, _ := n.Unit()
	p := plate{n: float32Array(u)}
	u = vec(p.n) // as it will be used
	lo, hi, r2 := math.Inf(1), math.Inf(-1), 0.0
	for _, q := range pts {
		d := q.Sub(c)
		h := u.Dot(d)
		across := d.Norm2() - float64(h*h)
		if h < lo {
			lo = h
		}
		if h > hi {
			hi = h
		}
		if across > r2 {
			r2 = across
		}
	}
	p.c = float32Array(c.AddScaled(0.5*(lo+hi), u)) // moved along the axis: r stays
	p.t, p.r = float32(0.5*(hi-lo)+2*pad), float32(math.Sqrt(r2)+2*pad)
	return p
}

// vec returns an array as a vector.
func vec(a [3]float32) r3.Vec { return r3.V(float64(a[0]), float64(a[1]), float64(a[2])) }

// dist2 returns the squared distance from the probe to the plate, or a little less:
//
//	max(|h| - t, 0)² + max(√(|p-c|² - h²) - r, 0)²,   h = n·(p-c).
//
// Single precision errs by some 2⁻²²·|p-c|² in h² and in the difference; twice slack32
// of it is taken off both.
func (d *plate) dist2(p *[3]float32) float32 {
	x, y, z := p[0]-d.c[0], p[1]-d.c[1], p[2]-d.c[2]
	h := x*d.n[0] + y*d.n[1] + z*d.n[2]
	l2 := x*x + y*y + z*z
	err := 2 * slack32 * l2
	across := l2 - h*h - err
	h = above(h, d.t)
	d2 := h*h - err
	if across <= d.r*d.r {
		return d2
	}
	s := float32(math.Sqrt(float64(across))) - d.r
	return d2 + s*s
}

// above returns max(|h| - t, 0); see [outside] for the bits.
func above(h, t float32) float32 {
	const sign = 1 << 31
	b := math.Float32bits(math.Float32frombits(math.Float32bits(h)&^sign) - t)
	return math.Float32frombits(b &^ uint32(int32(b)>>31))
}
