package mesh

import (
	"math"
	"math/bits"

	"selvage/r3"
)

// welder joins points that have the same coordinates, bit for bit, and numbers
// the different ones in the order of their first appearance.
//
// It is one open-addressing table with linear probing. A slot is the upper half
// of the point's hash beside its id plus one (zero means free), so that nearly
// every probe is settled without touching pos, and the table can grow without
// hashing again. The hash decides where a point is looked up, never which id it
// gets: results do not depend on it.
type welder struct {
	pos   []r3.Vec
	slots []uint64
	shift uint // a hash's home slot is its tag >> shift
}

// minSlots keeps the table a power of two of reasonable size for tiny soups.
const minSlots = 16

// maxSlotBits bounds the table: the tag has 32 bits, and ids are int32.
const maxSlotBits = 31

// newWelder returns a welder sized for about distinct different points; more
// are taken too, at the price of growing.
func newWelder(distinct int) *welder {
	w := &welder{pos: make([]r3.Vec, 0, distinct)}
	w.resize(max(minSlots, distinct+distinct/2))
	return w
}

// resize allocates the smallest table that has at least n slots.
func (w *welder) resize(n int) {
	b := min(uint(bits.Len(uint(n-1))), maxSlotBits)
	w.slots = make([]uint64, 1<<b)
	w.shift = 32 - b
}

// id returns the number of p, giving it the next free one if p is new. Negative
// zeros become positive, since the two are the same place.
func (w *welder) id(p r3.Vec) VertexID {
	p = r3.Vec{X: p.X + 0, Y: p.Y + 0, Z: p.Z + 0} // -0 + 0 = +0 when rounding to nearest
	tag := hash(p)
	mask := uint32(len(w.slots) - 1)
	for i := tag >> w.shift; ; i = (i + 1) & mask {
		s := w.slots[i]
		if s == 0 {
			return w.insert(i, tag, p)
		}
		if uint32(s>>32) == tag && same(w.pos[uint32(s)-1], p) {
			return VertexID(uint32(s) - 1)
		}
	}
}

// insert puts a new point into the free slot i.
func (w *welder) insert(i, tag uint32, p r3.Vec) VertexID {
	w.pos = append(w.pos, p)
	w.slots[i] = uint64(tag)<<32 | uint64(len(w.pos))
	if len(w.pos) > len(w.slots)/4*3 {
		w.grow()
	}
	return VertexID(len(w.pos) - 1)
}

// grow doubles the table. Linear probing stays short below a load of 3/4.
func (w *welder) grow() {
	old := w.slots
	w.resize(2 * len(old))
	mask := uint32(len(w.slots) - 1)
	for _, s := range old {
		if s == 0 {
			continue
		}
		i := uint32(s>>32) >> w.shift
		for w.slots[i] != 0 {
			i = (i + 1) & mask
		}
		w.slots[i] = s
	}
}

// same reports whether two points have the same bits. Comparing bits rather
// than values makes a NaN equal to itself, so that points that are not finite
// weld like others and cannot fill the table.
func same(a, b r3.Vec) bool {
	return math.Float64bits(a.X) == math.Float64bits(b.X) &&
		math.Float64bits(a.Y) == math.Float64bits(b.Y) &&
		math.Float64bits(a.Z) == math.Float64bits(b.Z)
}

// Odd constants with irregular bits (the fractional parts of √2, √3 and √5):
// they keep a zero coordinate from wiping out the others in a product.
const (
	mix0 = 0x6a09e667f3bcc909
	mix1 = 0xbb67ae8584caa73b
	mix2 = 0x3c6ef372fe94f82b
)

// hash mixes the bits of the coordinates by two folded 128-bit products. Points
// that came from float32 have 29 zero bits at the end of each coordinate and
// often a shared exponent; folding the upper half of the product down spreads
// what differs over all bits.
func hash(p r3.Vec) uint32 {
	hi, lo := bits.Mul64(math.Float64bits(p.X)^mix0, math.Float64bits(p.Y)^mix1)
	hi, lo = bits.Mul64(hi^lo^mix2, math.Float64bits(p.Z)^mix0)
	h := hi ^ lo
	return uint32(h>>32) ^ uint32(h)
}
