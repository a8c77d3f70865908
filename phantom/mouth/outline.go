package mouth

import "math"

// Outline is a convex closed curve across a tooth, given by its support function:
// the distance from the origin to the tangent whose outward normal points along
// the azimuth ν. With c = cos ν, s = sin ν,
//
//	h(ν) = X0·c + Y0·s + (1-Q)·√(A²c²+B²s²) + Q·(A·P(c) + B·P(s))
//	       + Even·cos 2ν + Skew·sin 2ν + Tri·sin 3ν + Grow
//	P(t) = (√(t²+e²) - e) / (√(1+e²) - e),  e = 1/2
//
// the ellipse of half axes A (mesiodistal) and B (buccolingual), squared off by Q
// (0 an ellipse, 1 a rounded box with the same half axes), sheared into a rhomboid
// by Skew, narrowed lingually by Tri, and offset outwards by Grow, mesiodistally by
// Even more than buccolingually.
type Outline struct {
	X0, Y0, A, B, Q, Even, Skew, Tri, Grow float64
}

const boxRound = 0.5 // e of P

var boxScale = 1 / (math.Sqrt(1+boxRound*boxRound) - boxRound)

// support returns h and its first two derivatives by ν.
func (o *Outline) support(c, s float64) (h, h1, h2 float64) {
	cc, ss, cs := c*c, s*s, c*s
	diff := cc - ss // cos 2ν
	a2, b2 := o.A*o.A, o.B*o.B
	r := math.Sqrt(a2*cc + b2*ss)
	ir := 1 / r
	r1 := (b2 - a2) * cs * ir
	r2 := ((b2-a2)*diff - r1*r1) * ir
	q := o.Q
	h, h1, h2 = (1-q)*r, (1-q)*r1, (1-q)*r2
	if q != 0 {
		wc, ws := math.Sqrt(cc+boxRound*boxRound), math.Sqrt(ss+boxRound*boxRound)
		ic, is := 1/wc, 1/ws
		pa, pb := q*o.A*boxScale, q*o.B*boxScale
		ssc := ss * cc
		h += pa*(wc-boxRound) + pb*(ws-boxRound)
		h1 += cs * (pb*is - pa*ic)
		h2 += pb*is*(diff-ssc*is*is) - pa*ic*(diff+ssc*ic*ic)
	}
	sin3, cos3 := s*(4*cc-1), c*(4*cc-3)
	x := o.X0*c + o.Y0*s
	even, skew, tri := o.Even*diff, 2*o.Skew*cs, o.Tri*sin3
	h += x + even + skew + tri + o.Grow
	h1 += o.Y0*c - o.X0*s + 2*o.Skew*diff - 4*o.Even*cs + 3*o.Tri*cos3
	h2 += -x - 4*(even+skew) - 9*tri
	return h, h1, h2
}

// slope returns the change of h when the parameters change at the rates of d.
func (o *Outline) slope(c, s float64, d *Outline) float64 {
	cc, ss := c*c, s*s
	r := math.Sqrt(o.A*o.A*cc + o.B*o.B*ss)
	pc := (math.Sqrt(cc+boxRound*boxRound) - boxRound) * boxScale
	ps := (math.Sqrt(ss+boxRound*boxRound) - boxRound) * boxScale
	q := o.Q
	ha := (1-q)*o.A*cc/r + q*pc
	hb := (1-q)*o.B*ss/r + q*ps
	hq := -r + o.A*pc + o.B*ps
	return d.X0*c + d.Y0*s + ha*d.A + hb*d.B + hq*d.Q + d.Even*(cc-ss) + d.Skew*2*c*s + d.Tri*s*(4*cc-1) + d.Grow
}

// Support returns the support function at azimuth nu and the radius of curvature
// h + h″ of the outline there, which is positive where the outline is convex.
func (o *Outline) Support(nu float64) (h, radius float64) {
	s, c := math.Sincos(nu)
	h, _, h2 := o.support(c, s)
	return h, h + h2
}

// Turn returns the derivative of the support function: the point of the outline at
// azimuth ν is h·(cos ν, sin ν) + h′·(-sin ν, cos ν).
func (o *Outline) Turn(nu float64) float64 {
	s, c := math.Sincos(nu)
	_, h1, _ := o.support(c, s)
	return h1
}

// Normal returns the outward unit normal (c, s) of the tangent that is farthest
// beyond (x, y), or nearest if the point is inside, and the signed distance to it:
// the maximum over ν of x·c + y·s - h(ν), by Newton's method. Outside it is the
// distance to the outline. Deep inside, where several tangents compete, it may
// return another local maximum, which is still negative.
func (o *Outline) Normal(x, y float64) (c, s, d float64) {
	c, s = (x-o.X0)/(o.A*o.A), (y-o.Y0)/(o.B*o.B)
	n := math.Sqrt(c*c + s*s)
	if n == 0 {
		c, s = 1, 0
	} else {
		c, s = c/n, s/n
	}
	for range outlineSteps {
		h, h1, h2 := o.support(c, s)
		d = x*c + y*s - h
		g1 := y*c - x*s - h1
		g2 := -x*c - y*s - h2
		step := farthestTurn
		if g2 < 0 {
			step = -g1 / g2
			step = min(max(step, -farthestTurn), farthestTurn)
		} else if g1 < 0 {
			step = -step
		}
		// Rotate (c, s) by step; renormalised, the error is of fifth order.
		dc, ds := 1-step*step/2*(1-step*step/12), step*(1-step*step/6)
		c, s = c*dc-s*ds, s*dc+c*ds
		n := 1 / math.Sqrt(c*c+s*s)
		c, s = c*n, s*n
		if step < outlineDone && step > -outlineDone {
			return c, s, d + step*(g1+step*g2/2) // Taylor: the third order is below 1e-9 mm
		}
	}
	h, _, _ := o.support(c, s)
	return c, s, x*c + y*s - h
}

const (
	outlineSteps = 12
	farthestTurn = 0.4  // radians that one step may turn
	outlineDone  = 1e-3 // radians: the next step would be of the order of its square
)
