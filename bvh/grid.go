package bvh

import "selvage/r3"

// packed is a point of the grid that the build thinks in: three coordinates of 21 bits in
// one word, x lowest. A coordinate of a mesh takes 19 bits, so that the sum of two keeps
// the lane's topmost bit free.
//
// WHY: the build does little but take the smaller or larger of coordinates. Floats cost a
// branch each, which mispredicts every third time, and six registers per box; here one
// subtraction compares three coordinates at once. The grid, half a millionth of the mesh,
// decides only how the tree is shaped. Its bounds come from the corners themselves.
type packed uint64

const (
	laneBits = 21
	laneMask = 1<<laneBits - 1
	gridBits = 19
	gridTop  = 1<<gridBits - 1

	// guards are the topmost bits of the lanes.
	guards packed = 1<<(laneBits-1) | 1<<(2*laneBits-1) | 1<<(3*laneBits-1)
)

// atLeast returns all bits below the guard in the lanes where a ≥ b: with the guard set
// in a, a lane's subtraction borrows it where b is larger.
func atLeast(a, b packed) packed {
	m := ((a | guards) - b) & guards
	return m - m>>(laneBits-1)
}

// least returns the smaller coordinate of each lane.
func least(a, b packed) packed { return a ^ (a^b)&atLeast(a, b) }

// most returns the larger coordinate of each lane.
func most(a, b packed) packed { return b ^ (a^b)&atLeast(a, b) }

// lane returns the coordinate on an axis.
func (p packed) lane(axis int) uint64 { return uint64(p) >> (laneBits * axis) & laneMask }

// span is a box on the grid, its ends included.
type span struct{ lo, hi packed }

// join returns the box about two.
func (s span) join(t span) span { return span{least(s.lo, t.lo), most(s.hi, t.hi)} }

// area returns half the surface of the box, in units of the grid: below 2⁴⁰. A face
// counts as one unit thick, so that what is flat still has a measure.
func (s span) area() uint64 {
	d := uint64(s.hi - s.lo) // no lane borrows
	x, y, z := d&laneMask+1, d>>laneBits&laneMask+1, d>>(2*laneBits)+1
	return x*(y+z) + y*z
}

// grid takes points of a mesh to the cells of a cube about it.
type grid struct {
	min   r3.Vec
	scale float64 // cells per length
}

func newGrid(box r3.Box) grid {
	g := grid{min: box.Min}
	if side := box.Longest(); side > 0 {
		g.scale = gridTop / side
	}
	return g
}

// cell returns the cell of p. A point beyond the grid, which only a box that is not finite
// has, lands in some cell of it.
func (g *grid) cell(p r3.Vec) packed {
	x := uint64(int64((p.X-g.min.X)*g.scale)) & gridTop
	y := uint64(int64((p.Y-g.min.Y)*g.scale)) & gridTop
	z := uint64(int64((p.Z-g.min.Z)*g.scale)) & gridTop
	return packed(x | y<<laneBits | z<<(2*laneBits))
}
