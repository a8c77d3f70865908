package solid

import (
	"math"

	"selvage/r3"
)

// Lattice maps a regular grid into space so that its spacing is Fine within
// Radius of Center, and grows smoothly over Ramp to Coarse. A grid point at
// distance ρ from the centre (in mm of the fine grid) goes to distance
//
//	G(ρ) = ρ                       ρ <= Radius
//	       ρ + (m-1)(ρ-Radius)²/2L  over the ramp, L its length in ρ
//	       slope m = Coarse/Fine    beyond
//
// in the same direction, so cells stay near to cubes.
type Lattice struct {
	Center       r3.Vec
	Fine, Coarse float64
	Radius, Ramp float64
	Offset       r3.Vec // in cells: shifts the grid, for an independent sampling
}

// At returns the point of the grid coordinates, which count cells of Fine.
func (l Lattice) At(g r3.Vec) r3.Vec {
	u := g.Add(l.Offset).Scale(l.Fine)
	m := l.Coarse / l.Fine
	rho := u.Norm()
	if m == 1 || rho <= l.Radius {
		return l.Center.Add(u)
	}
	return l.Center.Add(u.Scale(l.stretch(rho) / rho))
}

func (l Lattice) stretch(rho float64) float64 {
	m := l.Coarse / l.Fine
	over := rho - l.Radius
	if over <= 0 {
		return rho
	}
	if over <= l.Ramp {
		return rho + (m-1)*over*over/(2*l.Ramp)
	}
	return rho + (m-1)*(over-l.Ramp/2)
}

// Grid returns the grid coordinates of p: the inverse of [Lattice.At].
func (l Lattice) Grid(p r3.Vec) r3.Vec {
	v := p.Sub(l.Center)
	dist := v.Norm()
	rho := dist
	if l.Coarse != l.Fine && dist > l.Radius {
		lo, hi := l.Radius, dist
		for range 60 { // bisection: the map is monotonic and this is cold code
			mid := (lo + hi) / 2
			if l.stretch(mid) < dist {
				lo = mid
			} else {
				hi = mid
			}
		}
		rho = (lo + hi) / 2
	}
	if dist == 0 {
		return l.Offset.Neg()
	}
	return v.Scale(rho / dist / l.Fine).Sub(l.Offset)
}

// bounds returns the range of cells that covers box. The image of a box of the
// grid is star-shaped about the centre, so the box's corners and the points of
// its faces nearest to the centre's axes bound it.
func (l Lattice) bounds(box r3.Box) (lo, hi [3]int) {
	g := r3.EmptyBox()
	for i := range 27 { // corners, and face and edge points level with the centre
		pick := func(k int, a, b, c float64) float64 {
			switch (i / k) % 3 {
			case 0:
				return a
			case 1:
				return b
			default:
				return max(a, min(b, c))
			}
		}
		g = g.Extend(l.Grid(r3.V(
			pick(1, box.Min.X, box.Max.X, l.Center.X),
			pick(3, box.Min.Y, box.Max.Y, l.Center.Y),
			pick(9, box.Min.Z, box.Max.Z, l.Center.Z))))
	}
	a, b := g.Min.Array(), g.Max.Array()
	for k := range 3 {
		lo[k], hi[k] = int(math.Floor(a[k]))-1, int(math.Ceil(b[k]))+1
	}
	return lo, hi
}
