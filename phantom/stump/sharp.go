package stump

import (
	"math"

	"selvage/r3"
)

// sharpStretch is the length of edge, mm, over which a radius must hold to count: a
// single point is no edge that a milling tool fails to enter.
const sharpStretch = 1.5

// sharpStep is the step of the search along a profile and sharpReach how far it goes
// each way from the place at 45°, mm; sharpEvery how many
// profiles on the next is that is searched.
const (
	sharpStep  = 0.04
	sharpReach = 0.75
	sharpEvery = 2
)

// A place still belongs to the edge of a wall where the wall's normal, there and besideIt
// mm to both sides, has turned by less than 37°, whose cosine this is.
const (
	sameWall = 0.8
	besideIt = 0.1
)

// SharpEdge returns the least radius of the line angle between the walls and the biting
// surface: on every second profile the greatest principal curvature within 0.75 mm of
// the place at 45°; of these, the least median over 1.5 mm of edge. NaN where no
// wall ends in a line angle. Creases between cusps, which turn by too little to be an
// edge, have no curvature of their own in the exact shape and do not count.
//
// It is not quite Shape.LineAngle: where wall and biting surface turn by more than 100°,
// as at the end of a cusp, the cut is no wider and the round tighter.
func (d *Sections) SharpEdge() float64 {
	n := len(d.profiles) / sharpEvery
	radius := make([]float64, n)
	at := make([]r3.Vec, n)
	for i := range radius {
		radius[i] = math.NaN()
		if !math.IsNaN(d.profiles[i*sharpEvery].height) {
			radius[i], at[i] = d.tightest(i * sharpEvery)
		}
	}
	least := math.NaN()
	for i := range radius {
		if math.IsNaN(radius[i]) {
			continue
		}
		var win []float64
		far := 0.0
		for j := range radius {
			if !math.IsNaN(radius[j]) && at[i].Dist(at[j]) <= sharpStretch/2 {
				win = append(win, radius[j])
				far += at[i].Dist(at[j])
			}
		}
		if len(win) > 2 && far/float64(len(win)) > sharpStretch/8 && !(median(win) >= least) {
			least = median(win)
		}
	}
	return least
}

// tightest returns the least radius of curvature on a profile within sharpReach of its
// line angle, and where, in the tooth's frame.
func (d *Sections) tightest(i int) (radius float64, at r3.Vec) {
	p := &d.profiles[i]
	s, c := math.Sincos(p.phi)
	back := d.Frame.Inverse()
	q := p.at[len(p.at)-1]
	side := d.stump.wallField(back.Point(r3.V(q.r*c, q.r*s, q.z))).N
	most := 0.0
	for _, dir := range []float64{sharpStep, -sharpStep} {
		r, z := q.r, q.z
		for k := 0.0; k < sharpReach && r > 0.2; k += sharpStep {
			x := back.Point(r3.V(r*c, r*s, z))
			if !d.stump.sameSide(x, side) {
				break // in the middle of a thin top, where the wall of another side is nearer
			}
			n := d.Frame.Dir(d.stump.Local(x).N)
			if k1 := d.stump.bend(x); k1 > most {
				most, at = k1, x
			}
			nr, nz := n.X*c+n.Y*s, n.Z
			l := math.Hypot(nr, nz)
			r, z = r-dir*nz/l, z+dir*nr/l
			for range 2 { // back onto the surface, within the half-plane
				v := d.stump.Local(back.Point(r3.V(r*c, r*s, z)))
				g := d.Frame.Dir(v.N)
				nr, nz = g.X*c+g.Y*s, g.Z
				l2 := nr*nr + nz*nz
				r, z = r-v.D*nr/l2, z-v.D*nz/l2
			}
		}
	}
	if most <= 0 {
		return math.NaN(), at
	}
	return 1 / most, at
}

// sameSide reports whether the wall nearest to x is the one of normal side.
func (w *Stump) sameSide(x, side r3.Vec) bool {
	beside := r3.V(-side.Y, side.X, 0).UnitOr(r3.V(1, 0, 0)).Scale(besideIt)
	for _, p := range [3]r3.Vec{x, x.Add(beside), x.Sub(beside)} {
		if n := w.wallField(p).N; n.Dot(side) < sameWall*n.Norm()*side.Norm() {
			return false
		}
	}
	return true
}

// bend returns the greater principal curvature of the surface at x, 1/mm, from
// differences of the field's gradient; positive where it is convex.
func (w *Stump) bend(x r3.Vec) float64 {
	const h = 10 * difference
	e1, e2 := w.normal(x).Basis()
	d1 := w.normal(x.AddScaled(h, e1)).Sub(w.normal(x.AddScaled(-h, e1))).Scale(0.5 / h)
	d2 := w.normal(x.AddScaled(h, e2)).Sub(w.normal(x.AddScaled(-h, e2))).Scale(0.5 / h)
	a, b, c := d1.Dot(e1), (d1.Dot(e2)+d2.Dot(e1))/2, d2.Dot(e2)
	return (a+c)/2 + math.Hypot((a-c)/2, b)
}

// normal returns the unit gradient of the field itself at x, by differences; for the
// reason see slopes.
func (w *Stump) normal(x r3.Vec) r3.Vec {
	var g [3]float64
	for i, e := range [3]r3.Vec{{X: difference}, {Y: difference}, {Z: difference}} {
		g[i] = w.Local(x.Add(e)).D - w.Local(x.Sub(e)).D
	}
	return r3.V(g[0], g[1], g[2]).UnitOr(r3.V(0, 0, 1))
}
