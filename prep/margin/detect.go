// Package margin traces the finish line of a preparation: the outer, convex edge
// of its shelf, as a closed curve with a state and a confidence at every azimuth.
//
// The line is a global optimum, not a local walk. Every profile of the fan scores
// its convex turns; the closed path of least cost through (azimuth, arc length)
// crosses places without evidence and comes back; a refinement in sections square
// to the curve moves it from the profile's corner, which cuts the true one, to the
// crest of the surface. What lies under tissue or fluid is reported as unclear,
// what the data ends at as not captured; neither is guessed at.
//
// The package does not judge: lengths and limits meet in package finding.
package margin

import (
	"math"

	"selvage/prep"
)

// Options tunes the tracing. The zero value is the documented default.
type Options struct {
	// KnifeEdge says that the prescription asks for an edge without a shelf: no
	// concave turn before the edge is then looked for.
	KnifeEdge bool
	// Coarse leaves the line where the profiles have it, to about 0.05 mm, for a round
	// that only looks for the axis. [Complete] does the rest.
	Coarse bool
}

// Detect traces the margin of the preparation whose fan is given. ok is false
// where fewer than a third of the profiles show a wall, so that there is no
// preparation to trace.
//
// Accuracy: see doc/accuracy.md; statistically about 0.008 mm at 10 µm noise and
// 0.1 mm spacing. Cost: O(azimuths · samples · step bound). Deterministic.
func Detect(fan *prep.Fan, o Options) (*prep.Margin, bool) {
	m := &prep.Margin{Fan: fan, Walls: make([]prep.WallLine, len(fan.Profiles))}
	scores := make([]scores, len(fan.Profiles))
	prep.EachProfile(fan, func(i int) {
		m.Walls[i] = prep.FindWall(&fan.Profiles[i], fan.Step, fan.Prep.Noise)
	})
	found := 0
	for i := range m.Walls {
		if m.Walls[i].Found() {
			found++
		}
	}
	if found < len(fan.Profiles)/3 {
		return nil, false
	}
	dropStrays(fan, m.Walls)
	feet, level := steadyFeet(fan, m.Walls), footLevel(fan, m.Walls)
	prep.EachProfile(fan, func(i int) {
		scores[i] = score(fan, i, &m.Walls[i], feet[i], level, o)
	})
	origin := origins(fan, m.Walls)
	m.Points = make([]prep.MarginPoint, len(fan.Profiles))
	follow(m, closedPath(fan, scores, origin), scores)
	if c, ok := courseOf(m); ok {
		follow(m, closedPath(fan, c.favour(fan, scores), origin), scores)
	}
	clearBevel(m)
	dropHigh(m)
	if !o.Coarse {
		Complete(m)
	}
	return m, true
}

// follow lays the points along a path and tells the readable from the rest.
func follow(m *prep.Margin, path []int, s []scores) {
	place(m, path, s)
	classify(m, s)
}

// Complete refines a line that was traced with Options.Coarse, proposes a course for what could not
// be read, and holds the line against the rim of the scan.
func Complete(m *prep.Margin) {
	refine(m)
	settle(m)
	captured(m)
	recall(m)
	onePlace(m)
}

// Windows of the two scales at which a turn is measured, in mm. Line fits before
// and after a point serve better than second derivatives.
const (
	fineWindow   = 0.125
	coarseWindow = 0.275
)

// Gates of a candidate, in radians of heading (0 outwards, π/2 down). The crest
// of the gum arrives climbing and an inner corner is concave; without the gates
// blunt edges jump by half a millimetre.
const (
	arriveClimb  = -15 * math.Pi / 180 // not climbing steeper than this
	arriveFlat   = 6 * math.Pi / 180   // flatter than the wall by at least this
	leaveSteep   = 50 * math.Pi / 180  // steeply down afterwards
	leastTurn    = 8 * math.Pi / 180
	knifeTurn    = 4 * math.Pi / 180 // of a knife edge, whose 15° a noisy profile may halve
	searchBeyond = 3.5               // mm of arc beyond the wall's foot that may hold the line
	searchBefore = 0.3
	aboveFeet    = 1.0 // mm that a wall's foot lies above the others' where the margin is scalloped
)

// Bounds of [climbs].
const (
	climbFrom = -35 * math.Pi / 180
	climbOver = 0.15
)

// shortAfter is the fewest samples after an edge, 0.075 mm, that show it leaving
// steeply where the data ends below it.
const shortAfter = 3

// scores holds the evidence of one profile: the convex turn of every sample that
// passes the gates, 0 elsewhere.
type scores struct {
	lo   int       // first sample scored
	turn []float64 // from lo
}

func (s *scores) at(j int) float64 {
	if j < s.lo || j >= s.lo+len(s.turn) {
		return 0
	}
	return s.turn[j-s.lo]
}

// usualNoise is the noise, mm, up to which the windows hold; they grow with it up to
// widestWindows times, as the error of a slope over a window falls with its length.
const (
	usualNoise    = 0.015
	widestWindows = 2.0
	// knifeWindows widens them for a knife edge: a turn of 15° needs longer flanks to be
	// told from noise than one of 70°, and has them, without a shelf.
	knifeWindows = 2.0
)

// windows is the factor by which a scan's noise widens the windows.
func windows(fan *prep.Fan) float64 {
	return min(max(fan.Prep.Noise/usualNoise, 1), widestWindows)
}

func score(fan *prep.Fan, i int, w *prep.WallLine, foot int, level float64, o Options) scores {
	p, step := &fan.Profiles[i], fan.Step
	wall := math.Pi / 2
	from, to := foot, foot
	if w.Found() {
		from, to = min(w.Foot, foot), max(w.Foot, w.To, foot)
		wall = math.Pi/2 - w.Taper()
		if o.KnifeEdge || w.Foot == w.To {
			from = min(from, (w.From+w.To)/2)
		}
	}
	to = max(to, reaches(p, to, level+aboveFeet))
	lo := max(from-int(searchBefore/step), 0)
	hi := min(to+int(searchBeyond/step), p.Len())
	if o.KnifeEdge {
		hi = min(hi, climbs(p, from, step))
	}
	lo = min(lo, hi)
	s := scores{lo: lo}
	wide := windows(fan)
	if o.KnifeEdge {
		wide = max(wide, knifeWindows)
	}
	fine, coarse := int(math.Round(wide*fineWindow/step)), int(math.Round(wide*coarseWindow/step))
	g := gates{wall: wall, flat: arriveFlat, turn: leastTurn}
	if o.KnifeEdge {
		g.flat, g.turn = -math.Pi, knifeTurn // a knife edge arrives along the wall itself
	}
	for j := lo; j < hi; j++ {
		turn := 0.0
		if !within(w, j, fine) {
			turn = turnAt(p, j, fine, coarse, g)
		}
		s.turn = append(s.turn, turn)
	}
	return s
}

// climbs returns the sample, from one on, at which a profile climbs out of the sulcus, over
// climbOver mm and steeper than climbFrom; its length where it does not. The crest of the
// gum beyond turns by thrice as much as a knife edge and would draw the path away.
func climbs(p *prep.Profile, from int, step float64) int {
	half, run := max(int(0.1/step), 2), 0
	for j := max(from, 0); j < p.Len(); j++ {
		th, ok := p.Heading(j, -half, half)
		if ok && th < climbFrom {
			run++
		} else if ok {
			run = 0
		}
		if float64(run)*step >= climbOver {
			return j - run + 1
		}
	}
	return p.Len()
}

// within reports whether a sample lies in the straight wall, which goes on for reach
// samples each way: what noise turns there is no edge. Where the scan ends in the wall
// there is nothing else to find, and the path would run along the noise.
func within(w *prep.WallLine, j, reach int) bool {
	if !w.Found() || j-reach < w.From || j+reach > w.To {
		return false
	}
	out := 0
	for k := j - reach; k <= j+reach; k++ {
		if !w.Inlier[k-w.From] {
			out++
		}
	}
	return out <= reach/5
}

// gates are the headings and the turn that a candidate must pass, radians: the direction of
// its wall, how much flatter it must arrive, and how much it must turn.
type gates struct{ wall, flat, turn float64 }

// turnAt returns the mean convex turn over the two scales, or 0 where a gate
// shuts. The coarse arrival is shortened where the shelf is narrower than it.
func turnAt(p *prep.Profile, j, fine, coarse int, g gates) float64 {
	t1, b1, a1, ok := p.Turn(j, fine)
	if !ok { // the data may end just below the edge: a shorter look, for half the credit
		t1, b1, a1, ok = p.TurnInto(j, fine, shortAfter)
		if !ok || t1 < g.turn || a1 < leaveSteep || b1 < arriveClimb || b1 > g.wall-g.flat {
			return 0
		}
		return t1 / 2
	}
	if t1 < g.turn || a1 < leaveSteep || b1 < arriveClimb || b1 > g.wall-g.flat {
		return 0
	}
	t2, b2, a2, ok := p.Turn(j, coarse)
	if !ok || b2 < arriveClimb || b2 > g.wall-g.flat/2 || a2 < leaveSteep {
		return t1 / 2 // evidence at one scale only
	}
	return (t1 + max(t2, 0)) / 2
}
