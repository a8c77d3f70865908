package occlusion

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/r3"
)

// exactMotion is the lower jaw's motion worked out apart from [Guidance.Lower]: the
// condyles are put where their paths say, and the turn about the line through them is
// found by halving an interval until the incisal point lies on its guidance.
func exactMotion(g Guidance, j Jaw, m Movement, s float64) r3.Rigid {
	along := func(x, y, z float64) r3.Vec { // left, back, up
		return j.Left.Scale(x).AddScaled(y, j.Back).AddScaled(z, j.Up)
	}
	height := math.Sqrt(3) / 2 * g.Bonwill
	back, rise := height*math.Cos(g.Balkwill), height*math.Sin(g.Balkwill)
	left, right := j.Incisal.Add(along(g.Bonwill/2, back, rise)), j.Incisal.Add(along(-g.Bonwill/2, back, rise))
	forward, down := s*math.Cos(g.Condyle), s*math.Sin(g.Condyle)
	l2, r2, guide := left, right, g.Canine
	switch m {
	case Protrusion:
		l2, r2, guide = left.Add(along(0, -forward, -down)), right.Add(along(0, -forward, -down)), g.Incisal
	case ToLeft: // the working condyle stays on the line from the balancing one to where it was
		r2 = right.Add(along(forward*math.Tan(g.Bennett), -forward, -down))
		l2 = r2.AddScaled(g.Bonwill, left.Sub(r2).UnitOr(j.Left))
	case ToRight:
		l2 = left.Add(along(-forward*math.Tan(g.Bennett), -forward, -down))
		r2 = l2.AddScaled(g.Bonwill, right.Sub(l2).UnitOr(j.Left.Neg()))
	}
	// The frame of both condyles before and after, the second turned by a angle about
	// their line.
	frame := func(l, r, near r3.Vec) r3.Mat {
		x := l.Sub(r).UnitOr(j.Left)
		z := near.Reject(x).UnitOr(j.Up)
		return r3.Mat{x, z.Cross(x), z}.T()
	}
	x0, x1 := left.Sub(right).UnitOr(j.Left), l2.Sub(r2).UnitOr(j.Left)
	// Up after the least turn from the old line to the new, by Rodrigues' formula.
	k := x0.Cross(x1)
	up := j.Up.Scale(x0.Dot(x1)).Add(k.Cross(j.Up)).AddScaled(k.Dot(j.Up)/(1+x0.Dot(x1)), k)
	motion := func(a float64) r3.Rigid {
		f0, f1 := frame(left, right, j.Up), frame(l2, r2, up)
		sin, cos := math.Sincos(a)
		turn := r3.Mat{r3.V(1, 0, 0), r3.V(0, cos, -sin), r3.V(0, sin, cos)}
		rot := f1.Mul(turn).Mul(f0.T())
		return r3.Rigid{R: rot, T: r2.Sub(rot.Apply(right))}
	}
	short := func(a float64) float64 { // how far above its guidance the incisal point is
		way := motion(a).Point(j.Incisal).Sub(j.Incisal)
		return way.Dot(j.Up) + math.Tan(guide)*math.Hypot(way.Dot(j.Left), way.Dot(j.Back))
	}
	lo, hi := -0.3, 0.3
	if short(lo) > 0 {
		lo, hi = hi, lo
	}
	for range 60 {
		if mid := (lo + hi) / 2; short(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return motion((lo + hi) / 2)
}

// A ball of radius r over a dome of radius R, their centres D apart in the frame of the
// moving jaw: what of the dome lies within L of the ball is a cap of area 2πR²(1 - cos α),
// so that the patch of 0.5 mm² is reached at
//
//	L = √(D² + R² - 2DR cos α) - r,   cos α = 1 - 0.5/(2πR²).
//
// The ball is put where each movement in turn brings the dome under it.
func TestMoveAgainstExactKinematics(t *testing.T) {
	const (
		radius, dome = 2.0, 5.0
		within       = 0.003 // mm: a vertex more or less in the patch, and the facets of the ball
	)
	prep, margin := die(0.1, func(rho float64) float64 { return math.Sqrt(dome*dome-rho*rho) - 3 })
	middle := r3.V(0, 0, 1) // of the dome, which meets the rim of the table at ρ = 4
	jaw := Jaw{Incisal: r3.V(-24, -31, 4), Left: patient.Left, Back: patient.Back, Up: patient.Up}
	for _, g := range []Guidance{{}, {Condyle: 0.25, Bennett: 0.3, Incisal: 0.3, Canine: 0.2, Path: 2.5}} {
		g = g.withDefaults()
		for _, meant := range []Movement{Protrusion, ToLeft, ToRight} {
			centre := exactMotion(g, jaw, meant, g.Path).Point(middle).Add(r3.V(0, 0, dome+radius+1))
			want, worst := math.Inf(1), Movement(-1)
			for _, m := range []Movement{Protrusion, ToLeft, ToRight} {
				for k := 1; k <= positions; k++ {
					s := g.Path * float64(k) / positions
					motion := exactMotion(g, jaw, m, s)
					if off := motion.Point(r3.V(1, 2, 3)).Dist(g.Lower(jaw, m, s).Point(r3.V(1, 2, 3))); off > 1e-6 {
						t.Errorf("%v position %d: Lower is %.2g mm from the exact motion", m, k, off)
					}
					d := motion.Inverse().Point(centre).Dist(middle)
					l := math.Sqrt(d*d+dome*dome-2*d*dome*(1-0.5/(2*math.Pi*dome*dome))) - radius
					if l < want {
						want, worst = l, m
					}
				}
			}
			r := Move(MovementInput{
				ClearanceInput: ClearanceInput{Prep: prep, Margin: margin, Axis: up, Opposing: bvh.Build(ball(centre, radius, 0.95, 0.03))},
				Jaw:            jaw, Lower: true, Guidance: g,
			})
			if math.Abs(r.PatchMin.V-want) > within || r.Worst[Central] != worst || worst != meant {
				t.Errorf("%v: room %.4f in %v, exactly %.4f in %v", meant, r.PatchMin.V, r.Worst[Central], want, worst)
			}
			t.Logf("%v: %.4f mm, exactly %.4f", meant, r.PatchMin.V, want)
		}
	}
}
