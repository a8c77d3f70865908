package edge

import (
	"math"

	"selvage/internal/num"
)

// point is a point or direction of a section: x across the edge, y outwards. z, of a
// point of the surface, is how far along the edge it lies from the section.
type point struct{ x, y, z float64 }

// round is an edge in section: two flanks that fall off from their corner by the
// angles a (towards +x) and b (towards -x) and bend by ka and kb, and an arc of radius
// r that touches both.
type round struct {
	cx, cy float64 // corner of the flanks
	a, b   float64 // radians below the x axis
	r      float64
	ka, kb float64 // curvature of the flanks beyond the arc, 1/mm, convex positive

	// The edge's own course: z along it the section is shifted by s·z + t·z² in x and y.
	sx, sy, tx, ty float64

	sd  float64 // standard deviation of the residuals, mm
	sdR float64 // of r
}

const roundUnknowns = 11

func (f *round) params() [roundUnknowns]float64 {
	return [...]float64{f.cx, f.cy, f.a, f.b, f.r, f.ka, f.kb, f.sx, f.sy, f.tx, f.ty}
}

func roundOf(p [roundUnknowns]float64) round {
	return round{
		cx: p[0], cy: p[1], a: p[2], b: p[3], r: max(p[4], leastRadius), ka: p[5], kb: p[6],
		sx: p[7], sy: p[8], tx: p[9], ty: p[10],
	}
}

// leastRadius keeps the arc from vanishing, mm.
const leastRadius = 0.002

// bisector is the unit direction outwards between the flanks' normals.
func (f *round) bisector() point {
	s, c := math.Sincos((f.a - f.b) / 2)
	return point{x: s, y: c}
}

// centre of the arc, r/cos(turn/2) inside the corner.
func (f *round) centre() point {
	k := f.r / math.Cos((f.a+f.b)/2)
	m := f.bisector()
	return point{x: f.cx - k*m.x, y: f.cy - k*m.y}
}

func (f *round) crest() point {
	o, m := f.centre(), f.bisector()
	return point{x: o.x + f.r*m.x, y: o.y + f.r*m.y}
}

// curve is a round made ready to be held against many points.
type curve struct {
	o              point
	sa, ca, sb, cb float64
	r, ka, kb      float64
	sx, sy, tx, ty float64
}

func (f *round) curve() curve {
	c := curve{o: f.centre(), r: f.r, ka: f.ka, kb: f.kb, sx: f.sx, sy: f.sy, tx: f.tx, ty: f.ty}
	c.sa, c.ca = math.Sincos(f.a)
	c.sb, c.cb = math.Sincos(f.b)
	return c
}

// residual is the distance of q outside the curve.
func (c *curve) residual(q point) float64 {
	dx := q.x - c.o.x - q.z*(c.sx+q.z*c.tx)
	dy := q.y - c.o.y - q.z*(c.sy+q.z*c.ty)
	// How far beyond the tangent points, along each flank.
	ta, tb := dx*c.ca-dy*c.sa, -dx*c.cb-dy*c.sb
	switch {
	case ta <= 0 && tb <= 0:
		return math.Sqrt(dx*dx+dy*dy) - c.r
	case ta >= tb:
		return dx*c.sa + dy*c.ca - c.r + c.ka*ta*ta/2
	default:
		return -dx*c.sb + dy*c.cb - c.r + c.kb*tb*tb/2
	}
}

// Bounds of a fit.
const (
	leastTurn  = 35 * math.Pi / 180 // under this two flanks are one bent surface
	mostTurn   = 150 * math.Pi / 180
	mostRadius = 1.5 // mm
	// flankSeen is how much of each flank beyond the arc the section must show, mm.
	flankSeen = 0.1
	// farAbove is how far above the noise the residuals may stay, as a factor, and
	// formError what the flanks' own shape may leave besides, mm.
	farAbove  = 1.6
	formError = 0.007
)

// fitRound fits a round to the points of a section by damped least squares
// (Levenberg 1944, Marquardt 1963) from a sharp and a wide start.
func fitRound(pts []point, noise float64) (round, bool) {
	if len(pts) < fewestPoints {
		return round{}, false
	}
	var best round
	least := math.Inf(1)
	for _, r0 := range [...]float64{0.08, 0.35} {
		f := round{a: 0.8, b: 0.8, r: r0}
		f.cy = r0 * (1/math.Cos(0.8) - 1)
		if sum, ok := f.improve(pts); ok && sum < least {
			least, best = sum, f
		}
	}
	if math.IsInf(least, 1) {
		return round{}, false
	}
	best.sd = math.Sqrt(least / float64(len(pts)-roundUnknowns))
	if !best.sound(pts, noise) {
		return round{}, false
	}
	return best, best.spread(pts, noise)
}

// sound reports whether the fit describes an edge.
func (f *round) sound(pts []point, noise float64) bool {
	turn := f.a + f.b
	if turn < leastTurn || turn > mostTurn || f.r > mostRadius || f.sd > math.Hypot(farAbove*noise, formError) {
		return false
	}
	o := f.centre()
	var left, right float64
	for _, q := range pts {
		dx, dy := q.x-o.x, q.y-o.y
		right = max(right, dx*math.Cos(f.a)-dy*math.Sin(f.a))
		left = max(left, -dx*math.Cos(f.b)-dy*math.Sin(f.b))
	}
	c := f.crest()
	return left > flankSeen && right > flankSeen && math.Hypot(c.x, c.y) < crestReach
}

// improve takes damped steps until they no longer help.
func (f *round) improve(pts []point) (sum float64, ok bool) {
	const rounds = 25
	p := f.params()
	sum = f.sum(pts)
	damp := 1e-3
	for range rounds {
		ata, atb := f.normal(pts)
		moved := false
		for range 6 {
			m := ata
			for i := range roundUnknowns {
				m[i*roundUnknowns+i] *= 1 + damp
			}
			b := atb
			if !num.Cholesky(m[:], roundUnknowns) {
				damp *= 10
				continue
			}
			num.CholeskySolve(m[:], roundUnknowns, b[:])
			q := p
			for i := range q {
				q[i] -= b[i]
			}
			g := roundOf(q)
			if s := g.sum(pts); g.bounded() && s < sum {
				moved = sum-s > 1e-4*sum
				*f, p, sum = g, g.params(), s
				damp = max(damp/10, 1e-9)
				break
			}
			damp *= 10
		}
		if !moved {
			break
		}
	}
	return sum, f.bounded()
}

// bounded keeps the angles where the model has a meaning.
func (f *round) bounded() bool {
	const most = 85 * math.Pi / 180
	return f.a+f.b > 0.2 && f.a < most && f.b < most && f.a > -0.5 && f.b > -0.5 && f.r <= 2*mostRadius &&
		math.Abs(f.ka) < mostBend && math.Abs(f.kb) < mostBend
}

// mostBend is the greatest curvature of a flank, 1/mm: a tighter one is an edge.
const mostBend = 1.0

// bendPrior is the standard deviation of a flank's curvature, 1/mm: walls are straight
// along the axis and biting surfaces bend by a few tenths. It holds the flanks where
// the section shows too little of them to tell their bend from the arc's.
const bendPrior = 0.3

func (f *round) sum(pts []point) float64 {
	s := 0.0
	c := f.curve()
	for _, q := range pts {
		d := c.residual(q)
		s += d * d
	}
	k := priorNoise / bendPrior
	return s + k*k*(f.ka*f.ka+f.kb*f.kb)
}

// priorNoise is the noise that the prior is weighed against, mm.
const priorNoise = 0.01

// slopes are the derivatives of the centre's place from a point, by the angles and the
// radius: ∂(dx, dy)/∂a, ∂b and ∂r.
type slopes struct{ xa, ya, xb, yb, xr, yr float64 }

func (f *round) slopes() slopes {
	s, c := math.Sincos((f.a + f.b) / 2)
	m := f.bisector()
	k := f.r / c
	dk := f.r * s / (2 * c * c) // ∂k/∂a = ∂k/∂b
	return slopes{
		xa: dk*m.x + k*m.y/2, ya: dk*m.y - k*m.x/2,
		xb: dk*m.x - k*m.y/2, yb: dk*m.y + k*m.x/2,
		xr: m.x / c, yr: m.y / c,
	}
}

// gradient is the residual of q and its derivatives by the unknowns, in the order of params.
func (c *curve) gradient(q point, g slopes, row *[roundUnknowns]float64) (d float64) {
	dx := q.x - c.o.x - q.z*(c.sx+q.z*c.tx)
	dy := q.y - c.o.y - q.z*(c.sy+q.z*c.ty)
	ta, tb := dx*c.ca-dy*c.sa, -dx*c.cb-dy*c.sb
	var gx, gy, byA, byB, byKA, byKB float64 // ∂d/∂dx, ∂dy, and what the angles and bends add
	switch {
	case ta <= 0 && tb <= 0:
		rho := math.Sqrt(dx*dx + dy*dy)
		d = rho - c.r
		if rho > 0 {
			gx, gy = dx/rho, dy/rho
		}
	case ta >= tb:
		out := dx*c.sa + dy*c.ca
		d = out - c.r + c.ka*ta*ta/2
		gx, gy = c.sa+c.ka*ta*c.ca, c.ca-c.ka*ta*c.sa
		byA, byKA = ta-c.ka*ta*out, ta*ta/2
	default:
		out := -dx*c.sb + dy*c.cb
		d = out - c.r + c.kb*tb*tb/2
		gx, gy = -c.sb-c.kb*tb*c.cb, c.cb-c.kb*tb*c.sb
		byB, byKB = tb-c.kb*tb*out, tb*tb/2
	}
	z2 := q.z * q.z
	*row = [...]float64{
		-gx, -gy, gx*g.xa + gy*g.ya + byA, gx*g.xb + gy*g.yb + byB, gx*g.xr + gy*g.yr - 1,
		byKA, byKB, -gx * q.z, -gy * q.z, -gx * z2, -gy * z2,
	}
	return d
}

// normal returns the normal equations at f.
func (f *round) normal(pts []point) (ata [roundUnknowns * roundUnknowns]float64, atb [roundUnknowns]float64) {
	p := f.params()
	at, g := f.curve(), f.slopes()
	var row [roundUnknowns]float64
	for _, q := range pts {
		d := at.gradient(q, g, &row)
		for i := range roundUnknowns {
			for j := i; j < roundUnknowns; j++ {
				ata[i*roundUnknowns+j] += row[i] * row[j]
			}
			atb[i] += row[i] * d
		}
	}
	k := priorNoise / bendPrior
	for _, i := range [...]int{5, 6} {
		ata[i*roundUnknowns+i] += k * k
		atb[i] += k * k * p[i]
	}
	return ata, atb
}

// spread sets the standard deviation of the radius from the covariance of the fit.
func (f *round) spread(pts []point, noise float64) bool {
	ata, _ := f.normal(pts)
	if !num.Cholesky(ata[:], roundUnknowns) {
		return false
	}
	var e [roundUnknowns]float64
	e[4] = 1
	num.CholeskySolve(ata[:], roundUnknowns, e[:])
	f.sdR = max(f.sd, noise) * math.Sqrt(max(e[4], 0))
	return true
}

// radiusU returns the radius, its expanded uncertainty, and of that what does not scatter
// from section to section, and the standard deviation by noise.
//
// The radius is that of the arc which holds the middle half of the turn. Of a round that
// is an arc it is the fitted one; of a parabola between the same flanks, with the same
// crest, it is less: with t = tan(θ/4), θ the turn, the middle half of a parabola of crest
// radius p is p·(t√(1+t²) + asinh t) long, and the arc of the same crest has the radius
// p·(1+c)/2c, c = cos(θ/2). A scan cannot tell the two apart, so the radius is the mean
// of both and the half difference, a bound and no scatter, is added to U; so is the chord
// across the crest between two points spacing apart, spacing²/8r, which stands for
// spacing²/8r/(1/c - 1) of radius.
//
// The turn between the flanks as far as the section shows them may be less than the turn
// of the whole edge, where they go on bending; the form is judged as that of a right
// angle at least.
func (f *round) radiusU(spacing float64) (r, u, fixed, scatter float64) {
	turn := f.a + f.b
	k := middleHalf(max(turn, math.Pi/2))
	r = f.r * (1 + k) / 2
	c := math.Cos(turn / 2)
	chord := min(spacing*spacing/(8*max(r, leastRadius)*(1/c-1)), spacing/2) / 2
	form := f.r * (1 - k) / 2
	return r, form + 2*math.Sqrt(f.sdR*f.sdR+chord*chord/3), form + 2*chord/math.Sqrt(3), f.sdR * (1 + k) / 2
}

// middleHalf is the radius of the middle half of a parabola's turn as a share of the
// radius of the arc with the same flanks and crest.
func middleHalf(turn float64) float64 {
	t, c := math.Tan(turn/4), math.Cos(turn/2)
	return 2 / turn * (t*math.Sqrt(1+t*t) + math.Asinh(t)) * 2 * c / (1 + c)
}
