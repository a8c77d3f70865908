package bvh

import (
	"math"

	"selvage/r3"
)

// A probe is a point made ready for box tests.
type probe struct {
	p   [3]float32
	err float64 // how far float32 may have moved it, and the middle of a disc
}

func (t *Tree) probe(p r3.Vec) probe {
	q := p.Sub(t.origin)
	return probe{float32Array(q), queryShare*largest(q) + 2*t.pad}
}

// limit returns the bound on a squared distance, as dist2 computes it, that no box or disc
// with a point at distance d or less exceeds.
func (q *probe) limit(d float64) float32 {
	d += q.err
	return float32(d*d*(1+slack32)) + tiny32
}

// dist2 returns the squared distance from the probe to the box of child i of n.
func (n *node) dist2(i int, p *[3]float32) float32 {
	x := outside(n.box[0][i], n.box[1][i], p[0])
	y := outside(n.box[2][i], n.box[3][i], p[1])
	z := outside(n.box[4][i], n.box[5][i], p[2])
	return x*x + y*y + z*z
}

// outside returns max(lo-p, p-hi, 0).
//
// WHY bits: at most one of the two differences is positive, as lo ≤ hi; a float's sign
// bit, spread over the word, clears the negative one, and the two words can be joined.
// That is a third of the instructions of two calls of max, which must mind NaN and -0.
// A NaN stays a NaN or becomes zero or a number; what follows compares a limit that is
// NaN too, and visits nothing.
func outside(lo, hi, p float32) float32 {
	a, b := math.Float32bits(lo-p), math.Float32bits(p-hi)
	a &^= uint32(int32(a) >> 31)
	b &^= uint32(int32(b) >> 31)
	return math.Float32frombits(a | b)
}
