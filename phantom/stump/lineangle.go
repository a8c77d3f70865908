package stump

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// lineBlend runs wall and top together so that the crest of the line angle has the
// radius that was asked for. [solid.Swell] over a width k leaves the radius
//
//	k·cos(θ/2)/(2 sin²(θ/2)),  θ the turn from wall to top,
//
// at the crest. The width that each turn needs is taken where wall and top meet, by
// azimuth about the tooth's axis, and is even across the edge. Were it taken from the
// turn at every point, it would change across the edge as the top's own slope does, and
// bend the surface by as much as the radius itself: a round of 0.8 mm came out at 0.2 mm
// beside the cusps.
type lineBlend struct {
	width [blendSteps]float64 // by equal steps of azimuth, mm
	mean  float64
}

const (
	blendSteps = 180
	// blendEven is the azimuth over which the width is evened out, radians, one standard
	// deviation; about half a millimetre of a molar's edge.
	blendEven = 8 * math.Pi / 180
	// mostTurn is the turn beyond which a line angle is rounded over no greater width: a
	// top that falls inwards would else be cut down to keep its rim blunt.
	mostTurn = 100 * math.Pi / 180
	// leastBlend is the width as a share of LineAngle where wall and top hardly turn: the
	// blend runs out there without a step.
	leastBlend = 0.1
	// blendReach is how far from the axis the edge is looked for, mm, and blendStep the
	// step of the search.
	blendReach = 8.0
	blendStep  = 0.1
	// blendCore is the distance from the axis, mm, over which the width of every azimuth
	// goes over into their mean, so that they agree on the axis itself.
	blendCore = 0.5
)

// newBlend takes the turn of the edge all round.
func (w *Stump) newBlend() lineBlend {
	var raw [blendSteps]float64
	for i := range raw {
		turn := math.Pi / 2
		if p, ok := w.edgeAt(2 * math.Pi * float64(i) / blendSteps); ok {
			turn = min(w.sides(p, w.tooth.Form.Body.Field(p)).N.Angle(w.top.Field(p).N), mostTurn)
		}
		s, c := math.Sincos(turn / 2)
		raw[i] = w.shape.LineAngle * max(2*s*s/c, leastBlend)
	}
	var b lineBlend
	const sigma = blendEven * blendSteps / (2 * math.Pi)
	for i := range b.width {
		var sum, all float64
		for d := -int(3 * sigma); d <= int(3*sigma); d++ {
			g := math.Exp(-float64(d*d) / (2 * sigma * sigma))
			sum += g * raw[(i+d+blendSteps)%blendSteps]
			all += g
		}
		b.width[i] = sum / all
		b.mean += sum / all / blendSteps
	}
	return b
}

// edgeAt returns where the top runs out of the sides at azimuth phi, the outermost such
// place; ok is false if it does not.
func (w *Stump) edgeAt(phi float64) (p r3.Vec, ok bool) {
	s, c := math.Sincos(phi)
	at := func(rho float64) (r3.Vec, float64) {
		z, _, _ := w.top.Height(rho*c, rho*s)
		q := r3.V(rho*c, rho*s, z)
		return q, w.sides(q, w.tooth.Form.Body.Field(q)).D
	}
	hi := blendReach
	for ; hi > blendStep; hi -= blendStep {
		if _, d := at(hi - blendStep); d < 0 {
			break
		}
	}
	lo := hi - blendStep
	if lo <= 0 || hi >= blendReach {
		return r3.Vec{}, false
	}
	for range 30 {
		mid := (lo + hi) / 2
		if _, d := at(mid); d < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	p, _ = at(lo)
	return p, true
}

// at returns the width at azimuth phi and its derivative: a cubic through the steps
// (Catmull and Rom 1974).
func (b *lineBlend) at(phi float64) (k, dk float64) {
	x := phi / (2 * math.Pi) * blendSteps
	x -= math.Floor(x/blendSteps) * blendSteps
	i := int(x)
	t := x - float64(i)
	at := func(d int) float64 { return b.width[(i+d+blendSteps)%blendSteps] }
	p0, p1, p2, p3 := at(-1), at(0), at(1), at(2)
	c1, c2, c3 := (p2-p0)/2, p0-2.5*p1+2*p2-p3/2, (p3-p0)/2+1.5*(p1-p2)
	k = p1 + t*(c1+t*(c2+t*c3))
	dk = (c1 + t*(2*c2+3*t*c3)) * blendSteps / (2 * math.Pi)
	return k, dk
}

// swell is solid.Swell of sides and top over the width at p, with the width's own
// gradient: the value (k-d)²/4k above the greater, d the difference of the two, has the
// derivative (k²-d²)/4k² by k. With w = ρ²/(ρ²+core²) the width is mean + w·(k(φ) - mean).
func (b *lineBlend) swell(sides, top solid.Sample, p r3.Vec) solid.Sample {
	k, dk := b.at(math.Atan2(p.Y, p.X))
	rho2 := p.X*p.X + p.Y*p.Y
	all := rho2 + blendCore*blendCore
	off := k - b.mean
	k = b.mean + off*rho2/all
	out := solid.Swell(sides, top, k)
	d := sides.D - top.D
	if math.Abs(d) >= k {
		return out
	}
	// ∇k = w·k'·(-y, x)/ρ² + off·2 core²·(x, y)/(ρ²+core²)²
	along, outward := dk/all, 2*off*blendCore*blendCore/(all*all)
	g := r3.V(-along*p.Y+outward*p.X, along*p.X+outward*p.Y, 0)
	out.N = out.N.AddScaled((k*k-d*d)/(4*k*k), g)
	return out
}
