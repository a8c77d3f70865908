package mesh

import (
	"math"
	"math/bits"

	"selvage/r3"
)

// welder joins points that have the same coordinates, bit for bit, and numbers
// the different ones in the order of their first appearance.
//
// It is one open-addressing table with linear probing. A slot is the id of a point plus
// one, zero where it is free; the point itself is compared in pos. The hash decides where
// a point is looked up, never which id it gets: results do not depend on it.
//
// WHY: four bytes a slot keep the table of a scan of 400,000 triangles in the second-level
// cache, where one of eight bytes with part of the hash beside the id misses it. The
// comparison that the hash would spare reads a point that was met a moment ago, since
// files run along the surface.
//
// Before the table, recent is asked: one slot per hash of few bits, with the point that
// came there last. Files run along the surface, so five of six corners of a scan are
// answered from there, in the first-level cache.
type welder struct {
	pos   []r3.Vec
	slots []uint32
	shift uint // a hash's home slot is the hash >> shift
	wild  bool // a point is not finite

	touched uint32 // keeps the compiler from leaving out what is only touched

	recent [1 << recentBits]uint32
}

// recentBits makes recent a third of the first-level cache.
const recentBits = 12

// minSlots keeps the table a power of two of reasonable size for tiny soups.
const minSlots = 16

// maxSlotBits bounds the table: ids are int32.
const maxSlotBits = 32

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
	w.slots = make([]uint32, 1<<b)
	w.shift = 64 - b
}

// stride is how many points are looked up together.
const stride = 96

// ids puts the numbers of pts into dst, which is as long: a point that was met has its
// number, a new one the next that is free. Negative zeros become positive, since the two
// are the same place.
//
// WHY twice over the points: their slots are anywhere in the table, and waiting for each
// in turn takes longer than all the rest. The first pass only touches them, so that the
// processor fetches many at once; nothing else comes of what it reads.
func (w *welder) ids(dst []VertexID, pts []r3.Vec) {
	var hashes [stride]uint64
	for len(pts) > 0 {
		n := min(stride, len(pts))
		touched := uint32(0)
		for i, p := range pts[:n] {
			h := hash(upright(p))
			hashes[i] = h
			touched |= w.slots[h>>w.shift]
		}
		w.touched = touched
		for i, p := range pts[:n] {
			dst[i] = w.id(upright(p), hashes[i])
		}
		dst, pts = dst[n:], pts[n:]
	}
}

// upright returns p with zeros that are positive: -0 + 0 = +0 when rounding to nearest.
func upright(p r3.Vec) r3.Vec { return r3.Vec{X: p.X + 0, Y: p.Y + 0, Z: p.Z + 0} }

// id returns the number of p, whose hash is h.
func (w *welder) id(p r3.Vec, h uint64) VertexID {
	r := &w.recent[h>>(64-recentBits)]
	if s := *r; s > 0 && same(w.pos[s-1], p) {
		return VertexID(s - 1)
	}
	v := w.lookup(p, h)
	*r = uint32(v + 1)
	return v
}

// lookup returns the number of p, whose hash is h, from the table.
func (w *welder) lookup(p r3.Vec, h uint64) VertexID {
	mask := uint64(len(w.slots) - 1)
	for i := h >> w.shift; ; i++ {
		s := w.slots[i&mask]
		if s == 0 {
			return w.insert(i&mask, p)
		}
		if same(w.pos[s-1], p) {
			return VertexID(s - 1)
		}
	}
}

// insert puts a new point into the free slot i.
func (w *welder) insert(i uint64, p r3.Vec) VertexID {
	w.wild = w.wild || !p.Finite()
	w.pos = append(w.pos, p)
	w.slots[i] = uint32(len(w.pos))
	if len(w.pos) > len(w.slots)/4*3 {
		w.grow()
	}
	return VertexID(len(w.pos) - 1)
}

// grow doubles the table. Linear probing stays short below a load of 3/4.
func (w *welder) grow() {
	w.resize(2 * len(w.slots))
	mask := uint64(len(w.slots) - 1)
	for id, p := range w.pos {
		i := hash(p) >> w.shift
		for w.slots[i&mask] != 0 {
			i++
		}
		w.slots[i&mask] = uint32(id + 1)
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
	mix2 = 0x3c6ef372fe94f82b | 1
)

// hash mixes the bits of the coordinates by three products whose sum is folded and
// multiplied once more; the upper bits are the good ones. Points that came from float32
// have 29 zero bits at the end of each coordinate and often a shared exponent: turned
// about, what differs comes first and is spread over all bits above.
func hash(p r3.Vec) uint64 {
	h := math.Float64bits(p.X)*mix0 + bits.RotateLeft64(math.Float64bits(p.Y), 21)*mix1 +
		bits.RotateLeft64(math.Float64bits(p.Z), 42)*mix2
	return (h ^ h>>32) * mix1
}
