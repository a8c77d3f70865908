package ply

import (
	"encoding/binary"
	"math"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

// usual reads what nearly every scan's file is made of: little-endian rows of float
// coordinates with colours of a byte, if any, and rows of three corners. Each function
// reads as many rows as are so and returns their number; the general decoder goes on from
// there, and finds whatever is wrong with the next row.
//
// WHY: the general decoder asks of each number of each row which type it has. Reading the
// usual ones needs no question, and takes a sixth of the time. The tests hold the two
// against each other on files of all layouts.
type usual struct{ d *decoder }

// exponent is all ones in a float that is infinite or not a number.
const exponent = 0x7f800000

// vertices reads rows of size bytes from b.
func (u usual) vertices(b []byte, rows, size int, used []field) int {
	d := u.d
	var at [numSlots]int
	for _, f := range used {
		at[f.slot] = f.at
		colour := f.slot >= slotRed
		if d.h.encoding != wire.BinaryLittle || colour && (f.typ.size != 1 || f.typ.signed) ||
			!colour && (f.typ.size != 4 || !f.typ.float) {
			return 0
		}
	}
	pos := d.soup.Pos[:rows]
	var colours []mesh.RGB
	if d.colors.present {
		colours = d.colors.whole[:rows]
	}
	n := 0
	for ; n < rows; n++ {
		row := b[n*size : (n+1)*size]
		x, y, z := word(row[at[slotX]:]), word(row[at[slotY]:]), word(row[at[slotZ]:])
		if x&exponent == exponent || y&exponent == exponent || z&exponent == exponent {
			break
		}
		pos[n] = r3.Vec{X: single(x), Y: single(y), Z: single(z)}
		if colours != nil {
			colours[n] = mesh.RGB{row[at[slotRed]], row[at[slotGreen]], row[at[slotBlue]]}
		}
	}
	d.soup.Pos, d.colors.whole = pos[:n], colours[:min(n, len(colours))]
	return n
}

// faceSize is the size of a row of three corners: their number, and four bytes each.
const faceSize = 1 + 3*4

// faces reads rows from b.
func (u usual) faces(b []byte, e element) int {
	d := u.d
	p := e.props[d.corners]
	if d.h.encoding != wire.BinaryLittle || len(e.props) != 1 || p.count.size != 1 || p.typ.size != 4 {
		return 0
	}
	rows := min(e.rows, len(b)/faceSize)
	tri := d.soup.Tri[:rows]
	most := uint32(d.vertices) // as unsigned numbers, negative corners are above it too
	n := 0
	for ; n < rows; n++ {
		row := b[n*faceSize : (n+1)*faceSize]
		i, j, k := word(row[1:]), word(row[5:]), word(row[9:])
		if row[0] != 3 || max(i, j, k) >= most {
			break
		}
		tri[n] = [3]int32{int32(i), int32(j), int32(k)}
	}
	d.soup.Tri = tri[:n]
	return n
}

// word returns the next four bytes.
func word(b []byte) uint32 { return binary.LittleEndian.Uint32(b) }

// single returns the number with the given bits.
func single(b uint32) float64 { return float64(math.Float32frombits(b)) }
