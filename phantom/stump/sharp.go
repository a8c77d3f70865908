package stump

import (
	"math"
	"slices"

	"selvage/phantom/solid"
	"selvage/r3"
)

// Bounds of what is an edge of the preparation, mm and radians.
const (
	// sharpStretch is the length of edge over which a radius must hold to count: a single
	// point is no edge that a milling tool fails to enter. Half of it must be there.
	sharpStretch = 1.5
	// flank is how much of the surface each side of an edge shows by how much it turns.
	flank = 0.45
	// leastEdge is the turn under which two flanks are one bent surface.
	leastEdge = 35 * math.Pi / 180
	// leastRidge is how much more an edge bends across than along; a cusp's tip is none.
	leastRidge = 1.2
	// bentOver is the reach over which the surface's bend tells where an edge runs: far
	// enough that a crease of a few degrees counts for no more than it turns.
	bentOver = 0.1
	// crestNear is how far from a place the crest may lie to be that place's, and crestApart
	// how far apart places of an edge are taken.
	crestNear  = 0.2
	crestApart = 0.13
	// alongEdge is the cosine of the angle, 45°, up to which an edge goes on.
	alongEdge = 0.7
)

// crest is a place on an edge, in the tooth's frame.
type crest struct {
	at, along r3.Vec
	radius    float64
	ok        bool
}

// SharpEdge returns the radius of the sharpest convex edge near the given points of the
// surface, in the tooth's frame: the least median over 1.5 mm of an edge, of which half at
// least is there. NaN where there is none.
//
// The radius of an edge at a place of it is that of the arc which holds the middle half of
// its turn: with θ the turn of the surface's normal over 0.45 mm of surface on each side,
// across the edge, and s the length over which the middle half of θ is turned, 2s/θ. Of a
// round between two flanks it is the radius; of a parabola, 1.08 times that of its crest in
// a right angle. The greatest curvature alone would answer to every crease of some degrees
// in the exact shape, which no tool minds.
func (w *Stump) SharpEdge(near []r3.Vec) float64 { return edges(w.Local).sharpest(near) }

// edges finds the edges of the solid that a field is of.
type edges func(p r3.Vec) solid.Sample

// sharpest is [Stump.SharpEdge] of the field.
func (f edges) sharpest(near []r3.Vec) float64 {
	found := make([]crest, len(near))
	solid.Parallel(len(near), func(i int) { found[i] = f.crestAt(near[i]) })
	var cs []crest
	for _, c := range found {
		if c.ok && !slices.ContainsFunc(cs, func(o crest) bool { return o.at.Dist(c.at) < crestApart }) {
			cs = append(cs, c)
		}
	}
	least := math.NaN()
	for i := range cs {
		var win []float64
		lo, hi := 0.0, 0.0
		for k := range cs {
			d := cs[k].at.Sub(cs[i].at)
			s := d.Dot(cs[i].along)
			aside := d.AddScaled(-s, cs[i].along).Norm()
			if d.Norm() > sharpStretch/2 || math.Abs(cs[k].along.Dot(cs[i].along)) < alongEdge || aside > math.Abs(s)/2+crestNear {
				continue
			}
			lo, hi = min(lo, s), max(hi, s)
			win = append(win, cs[k].radius)
		}
		if m := median(win); hi-lo >= sharpStretch/2 && !(m >= least) {
			least = m
		}
	}
	return least
}

// crestAt returns the edge at p; ok is false where there is none.
func (f edges) crestAt(p r3.Vec) crest {
	across, ok := f.bentMost(p)
	if !ok {
		return crest{}
	}
	q, _, _, ok := f.turning(p, across)
	if !ok || q.Dist(p) > crestNear {
		return crest{}
	}
	// Once more, about the crest itself.
	if across, ok = f.bentMost(q); !ok {
		return crest{}
	}
	q, theta, s, ok := f.turning(q, across)
	if !ok || theta < leastEdge || q.Dist(p) > crestNear {
		return crest{}
	}
	return crest{q, f.normal(q).Cross(across).UnitOr(across), 2 * s / theta, true}
}

// bentMost returns the direction in which the surface bends most about p; ok is false
// where it is bent alike all round, or hollow.
func (f edges) bentMost(p r3.Vec) (across r3.Vec, ok bool) {
	n := f.normal(p)
	e1, e2 := n.Basis()
	d1 := f.normal(f.onto(p.AddScaled(bentOver, e1))).Sub(f.normal(f.onto(p.AddScaled(-bentOver, e1))))
	d2 := f.normal(f.onto(p.AddScaled(bentOver, e2))).Sub(f.normal(f.onto(p.AddScaled(-bentOver, e2))))
	a, b, c := d1.Dot(e1), (d1.Dot(e2)+d2.Dot(e1))/2, d2.Dot(e2)
	half := math.Hypot((a-c)/2, b)
	k1, k2 := (a+c)/2+half, (a+c)/2-half
	if k1 <= 0 || k1 < leastRidge*math.Abs(k2) {
		return r3.Vec{}, false
	}
	s, co := math.Sincos(math.Atan2(b, (a-c)/2) / 2)
	return e1.Scale(co).AddScaled(s, e2), true
}

// turnStep is the step along a section, mm.
const turnStep = 0.03

// turning walks the section of the surface through p along a direction across it, flank
// each way, and returns where half of its turn is done, the turn, and the length over
// which the middle half of it is turned. ok is false where the section does not turn
// outwards.
func (f edges) turning(p, across r3.Vec) (mid r3.Vec, theta, middle float64, ok bool) {
	along := f.normal(p).Cross(across).UnitOr(across)
	steps := int(math.Round(flank / turnStep))
	pts := make([]r3.Vec, 2*steps+1)
	pts[steps] = p
	for _, dir := range []int{-1, 1} {
		n := f(p).N
		for k := 1; k <= steps; k++ {
			t := along.Cross(n).UnitOr(across)
			if t.Dot(across) < 0 {
				t = t.Neg()
			}
			pts[steps+dir*k], n = f.within(pts[steps+dir*(k-1)].AddScaled(float64(dir)*turnStep, t), along)
		}
	}
	zero := f.normal(pts[0]).Reject(along).UnitOr(across)
	side := zero.Cross(along)
	if side.Dot(across) < 0 {
		side = side.Neg()
	}
	angle := func(q r3.Vec) float64 {
		n := f.normal(q)
		return math.Atan2(n.Dot(side), n.Dot(zero))
	}
	at, length := make([]float64, len(pts)), make([]float64, len(pts))
	for i := range pts {
		at[i] = angle(pts[i])
		if i > 0 {
			length[i] = length[i-1] + pts[i].Dist(pts[i-1])
		}
	}
	theta = at[len(at)-1]
	if theta <= 0 {
		return p, 0, 0, false
	}
	// Where a share of the turn is done: between steps, by halving.
	place := func(share float64) (r3.Vec, float64) {
		want := share * theta
		k := slices.IndexFunc(at, func(a float64) bool { return a >= want })
		if k < 1 {
			return pts[0], 0
		}
		a, b := 0.0, 1.0
		for range 6 {
			m := (a + b) / 2
			if q, _ := f.within(pts[k-1].Lerp(pts[k], m), along); angle(q) < want {
				a = m
			} else {
				b = m
			}
		}
		m := (a + b) / 2
		q, _ := f.within(pts[k-1].Lerp(pts[k], m), along)
		return q, length[k-1] + m*(length[k]-length[k-1])
	}
	_, from := place(0.25)
	_, to := place(0.75)
	mid, _ = place(0.5)
	return mid, theta, to - from, true
}

// onto returns the point of the surface near p.
func (f edges) onto(p r3.Vec) r3.Vec {
	p, _ = f.within(p, r3.Vec{})
	return p
}

// within returns the point of the surface near p in the plane square to along, a zero
// along being no plane, and the gradient there, which is good enough to go on by.
func (f edges) within(p, along r3.Vec) (q, n r3.Vec) {
	for range 2 {
		v := f(p)
		n = v.N.AddScaled(-v.N.Dot(along), along)
		p = p.AddScaled(-v.D/max(n.Norm2(), 0.01), n)
	}
	return p, n
}

// normal returns the unit gradient of the field itself at x, by differences; for the
// reason see slopes.
func (f edges) normal(x r3.Vec) r3.Vec {
	var g [3]float64
	for i, e := range [3]r3.Vec{{X: difference}, {Y: difference}, {Z: difference}} {
		g[i] = f(x.Add(e)).D - f(x.Sub(e)).D
	}
	return r3.V(g[0], g[1], g[2]).UnitOr(r3.V(0, 0, 1))
}
