package occlusion

import (
	"cmp"
	"math"

	"selvage/measure"
	"selvage/r3"
	"selvage/surface"
)

// Guidance holds the values of an average articulator. Angles are radians, lengths
// mm; zero means the default. They are textbook averages from memory, save the
// Bonwill triangle, which is from [trade §7.3]; a person's differ by ±10° and more.
type Guidance struct {
	Condyle  float64 // slope of the condylar path against the occlusal plane; 33°
	Bennett  float64 // inward angle of the balancing condyle's path in a laterotrusion; 15°
	Incisal  float64 // slope of the path of the incisors in protrusion; 40°
	Canine   float64 // slope of the path of the incisors in laterotrusion; 40°
	Bonwill  float64 // side of the triangle of both condyles and the incisal point; 101.6
	Balkwill float64 // angle of that triangle with the occlusal plane; 22°
	Path     float64 // length of the condylar path that is looked at; 3
}

func (g Guidance) withDefaults() Guidance {
	const deg = math.Pi / 180
	return Guidance{
		Condyle: cmp.Or(g.Condyle, 33*deg), Bennett: cmp.Or(g.Bennett, 15*deg),
		Incisal: cmp.Or(g.Incisal, 40*deg), Canine: cmp.Or(g.Canine, 40*deg),
		Bonwill: cmp.Or(g.Bonwill, 101.6), Balkwill: cmp.Or(g.Balkwill, 22*deg),
		Path: cmp.Or(g.Path, 3),
	}
}

// Movement is one of the jaw's border movements from closure.
type Movement int

// The three movements.
const (
	Protrusion Movement = iota
	ToLeft              // laterotrusion: the left side works, the right condyle moves
	ToRight
)

// String returns the word of the trade.
func (m Movement) String() string {
	return [...]string{"protrusion", "laterotrusion left", "laterotrusion right"}[m]
}

// Lower returns the motion of the lower jaw when the condyle has gone s mm along its
// path.
//
// The condyles go forwards and down along the condylar path, in protrusion both, in
// laterotrusion the balancing one, which also goes inwards by the Bennett angle while
// the working one keeps its distance from it and gives way sideways. The jaw then
// turns about the line through both until the incisal point has sunk along the
// incisal, or canine, guidance:
//
//	drop = tan(guidance) · horizontal way of the incisal point.
//
// No tooth contact is looked for: teeth that guide more steeply open the jaw further.
func (g Guidance) Lower(j Jaw, m Movement, s float64) r3.Rigid {
	g = g.withDefaults()
	middle := j.Incisal.AddScaled(g.Bonwill*math.Sqrt(3)/2, j.Back.Scale(math.Cos(g.Balkwill)).AddScaled(math.Sin(g.Balkwill), j.Up))
	left := middle.AddScaled(g.Bonwill/2, j.Left)
	right := middle.AddScaled(-g.Bonwill/2, j.Left)
	path := j.Back.Scale(-math.Cos(g.Condyle)).AddScaled(-math.Sin(g.Condyle), j.Up)

	var move r3.Rigid
	guide := g.Canine
	switch inward := s * math.Cos(g.Condyle) * math.Tan(g.Bennett); m {
	case Protrusion:
		move, guide = r3.Rigid{R: r3.Identity(), T: path.Scale(s)}, g.Incisal
	case ToLeft:
		move = swing(right, left, right.AddScaled(s, path).AddScaled(inward, j.Left))
	case ToRight:
		move = swing(left, right, left.AddScaled(s, path).AddScaled(-inward, j.Left))
	}
	return g.sink(j, move, move.Point(left), move.Point(right), guide)
}

// swing returns the smallest motion that takes a to a2 and keeps b on the line from
// a2 to where it was.
func swing(a, b, a2 r3.Vec) r3.Rigid {
	r := r3.RotationBetween(b.Sub(a).UnitOr(r3.Vec{}), b.Sub(a2).UnitOr(r3.Vec{}))
	return r3.Rigid{R: r, T: a2.Sub(r.Apply(a))}
}

// sink adds the turn about the condyles that brings the incisal point down to its
// guidance.
func (g Guidance) sink(j Jaw, move r3.Rigid, left, right r3.Vec, guide float64) r3.Rigid {
	hinge := left.Sub(right).UnitOr(j.Left)
	turned := move
	for range sinkRounds {
		at := turned.Point(j.Incisal)
		way := at.Sub(j.Incisal)
		wanted := math.Tan(guide) * way.Reject(j.Up).Norm()
		// The incisal point moves square to its arm; along Up that is hinge × arm.
		rise := hinge.Cross(at.Sub(right)).Dot(j.Up)
		if rise == 0 {
			break
		}
		r := r3.Rotation(hinge, (-wanted-way.Dot(j.Up))/rise)
		turned = r3.Rigid{R: r, T: right.Sub(r.Apply(right))}.After(turned)
	}
	return turned
}

// sinkRounds is how often the turn is corrected: turning down also takes the incisal
// point back, which alters its way. Each round leaves about a third of the error.
const sinkRounds = 25

// MovementInput is what [Move] measures: the preparation as for [Clear], and the jaw.
type MovementInput struct {
	ClearanceInput
	Jaw      Jaw
	Lower    bool // the preparation is in the lower jaw
	Guidance Guidance
}

// MovementResult is the room that is left when the jaw moves.
type MovementResult struct {
	PatchMin measure.Value    // the least level of a patch in any position, shortest distance, mm
	Zones    [3]measure.Value // the same, by Zone
	Worst    [3]Movement      // in which movement that of each zone was
}

// positions is how many places of each movement are looked at: at 0.75 mm of the
// condyle's path a cusp slides by less than the width of a patch.
const positions = 4

// movementReach is how far, mm, the opposing arch may come from outside the place
// that it has in closure.
const movementReach = 4.0

// movingReach is how far the opposing surface is looked for in movement, mm: no
// material asks for more room.
const movingReach = 3.0

// movementU is the expanded uncertainty, mm, that average values add: 10° of guidance
// over the 2 mm or so that a molar moves.
const movementU = 0.3

// Move measures the least clearance of a preparation over protrusion and both
// laterotrusions with average values: an estimate for a note, never for a cut.
//
// At each of the positions of each movement the distance to the opposing arch is
// taken at every vertex inside the margin, as far as it may be less than what an earlier
// position left, and the patch levels as in [Clear]. Closure itself is left out: [Clear]
// has measured it. Cost: some six times that of Clear's distances. Deterministic.
func Move(in MovementInput) MovementResult {
	in.Options.Reach = cmp.Or(in.Options.Reach, movingReach)
	c, why := newClearing(in.ClearanceInput, in.Options.withDefaults())
	if why != "" {
		v := measure.Not(why)
		return MovementResult{PatchMin: v, Zones: [3]measure.Value{v, v, v}}
	}
	g := newGauge(c.opposing, in.Axis)
	var res MovementResult
	for _, m := range []Movement{Protrusion, ToLeft, ToRight} {
		for k := 1; k <= positions; k++ {
			path := in.Guidance.withDefaults().Path * float64(k) / positions
			c.moved(g, in, m, path, &res)
		}
	}
	for _, v := range res.Zones {
		if v.Measured() && (!res.PatchMin.Measured() || v.V < res.PatchMin.V) {
			res.PatchMin = v
		}
	}
	none := measure.Not("no opposing surface comes near this part of the preparation in movement")
	for z := range res.Zones {
		if !res.Zones[z].Measured() {
			res.Zones[z] = none
		}
	}
	if !res.PatchMin.Measured() {
		res.PatchMin = none
	}
	return res
}

// moved measures one position and keeps what is lower than before.
func (c *clearing) moved(g *gauge, in MovementInput, m Movement, path float64, res *MovementResult) {
	motion := in.Guidance.Lower(in.Jaw, m, path)
	if !in.Lower {
		motion = motion.Inverse() // the upper preparation, seen from the lower jaw
	}
	pts := make([]r3.Vec, len(c.m.Pos))
	for i, p := range c.m.Pos {
		pts[i] = motion.Point(p)
	}
	zone := make([]float64, len(pts))
	for z := range res.Zones {
		var at []int
		var ask []r3.Vec
		for v, of := range c.zone {
			zone[v] = math.Inf(1)
			if of == Zone(z) {
				at, ask = append(at, v), append(ask, pts[v])
			}
		}
		worth := math.Inf(1)
		if res.Zones[z].Measured() {
			worth = res.Zones[z].V // a higher patch is not asked for
		}
		for i, x := range g.measureBelow(ask, c.o.Reach, worth) {
			zone[at[i]] = x.d
		}
		p, ok := surface.LowPatch(c.topo, c.area, zone, c.o.PatchArea)
		if !ok || res.Zones[z].Measured() && p.Level >= res.Zones[z].V {
			continue
		}
		u := math.Hypot(c.u(), movementU)
		res.Zones[z] = measure.Of(p.Level, u, measure.MM).
			At(measure.Place{At: c.m.Pos[p.Lowest], Normal: c.normal[p.Lowest], Scan: in.Scan})
		res.Worst[z] = m
	}
}
