package bvh

import "selvage/r3"

// A probe is a point made ready for box tests.
type probe struct {
	p   [3]float32
	err float64 // how far float32 may have moved it
}

func (t *Tree) probe(p r3.Vec) probe {
	q := p.Sub(t.origin)
	return probe{float32Array(q), queryShare * largest(q)}
}

// limit returns the bound on a box's squared distance, as dist2 computes it, that no
// box with a point at distance d or less exceeds.
func (q *probe) limit(d float64) float32 {
	d += q.err
	return float32(d*d*(1+slack32)) + tiny32
}

// dist2 returns the squared distances from the probe to the boxes of n's children.
func (n *node) dist2(p *[3]float32) (d2 [width]float32) {
	for i := range width {
		x := max(n.box[0][i]-p[0], p[0]-n.box[1][i], 0)
		y := max(n.box[2][i]-p[1], p[1]-n.box[3][i], 0)
		z := max(n.box[4][i]-p[2], p[2]-n.box[5][i], 0)
		d2[i] = x*x + y*y + z*z
	}
	return d2
}
