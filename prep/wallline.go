package prep

import (
	"math"
	"slices"
)

// WallLine is the straight part of one profile's wall: the line with the longest
// support on the steep run between the occlusal line angle and the finish line.
// The line is ρ = A + B·(-z): B = tan(taper) in the half-plane, positive where the
// wall leans towards the axis tip, negative where it undercuts.
type WallLine struct {
	A, B      float64
	From, To  int     // first and last inlier sample
	Foot      int     // where the profile leaves the line outwards for good; To if it does not
	LineAngle int     // sample above the wall where the profile stands at 45° to the axis; -1 if there is none
	Inliers   int     // samples within tolerance
	RMS       float64 // of the inliers, mm
	Inlier    []bool  // per sample of [From, To]
	ok        bool
}

// Found reports whether the profile has a wall.
func (w *WallLine) Found() bool { return w.ok }

// Taper returns the wall's angle to the axis within the half-plane, radians.
func (w *WallLine) Taper() float64 { return math.Atan(w.B) }

// At returns the line's distance from the axis at height z.
func (w *WallLine) At(z float64) float64 { return w.A - w.B*z }

// Tolerances of the search for a wall, in mm and radians.
const (
	// wallTolerance is the least half-width of the support band; noise widens it
	// to two and a half standard deviations.
	wallTolerance = 0.02
	// leaveBy over leaveOver: a profile that is this far outside the line for
	// this long has left it for good (methods: 0.035 mm over 0.1 mm). A threshold
	// on the angle instead runs past a steep, narrow shelf.
	leaveBy   = 0.035
	leaveOver = 0.10
	// seed is the length of the trial line; minSupport the least wall reported.
	seed       = 0.5
	minSupport = 0.6
	// The band of support reaches into the rounding at both ends of a wall, where a
	// circle of radius 1 mm leaves its tangent by 25 µm over 0.22 mm; the line is
	// fitted to what is left when trimMost mm, or trimShare of a short wall, are cut
	// off each end. Without this the convergence is biased by up to 0.9°.
	trimMost  = 0.30
	trimShare = 0.15
	// steep bounds the heading of a wall: within 40° of the axis.
	steepFrom = 50 * math.Pi / 180
	steepTo   = 125 * math.Pi / 180
	// flatFor is how much flatter surface, in mm, parts one steep run from the next:
	// the shelf parts the wall from the root. A palatal face that runs steeply into
	// the short wall of a cingulum is one run.
	flatFor = 0.2
	// settle is the share of the longest support that a line nearer to the shelf must
	// have to be preferred: the wall is what leads to the finish line. A chamfer's own
	// curve supports a line for half a millimetre, too little against any wall.
	settle = 0.6
	// bevelTurn is the concave turn that parts a bevel from the wall above it: 8°, four
	// deviations of the slope of a line of minSupport at 16 µm noise.
	bevelTurn = 8 * math.Pi / 180
	leansOut  = 0.035 // tangent: two degrees of undercut
	// leastLower is the length, mm, from which a line below the longest one, and steeper than
	// it by planeTurn, is the wall: of a wall cut in two planes the lower leads to the shelf,
	// however long the upper is. Picked by length the one would follow the other where they
	// change places round the tooth, and tilt the axis by degrees. A chamfer's own curve
	// flares out and is never steeper.
	leastLower = minSupport
	planeTurn  = 3 * math.Pi / 180
)

// FindWall returns the wall of a profile. noise is the scan's standard deviation
// in mm. The result's Found is false if no steep run of minSupport exists.
//
// Trial lines start from every eighth of a millimetre of steep run; each collects
// its inliers, also beyond a hollow, and is refitted twice to them. Cost: O(n²/5)
// for n samples, a millisecond for two hundred profiles.
func FindWall(p *Profile, step, noise float64) WallLine { return FindWallTo(p, p.Len(), step, noise) }

// FindWallTo is FindWall over the samples of a profile before to alone.
func FindWallTo(p *Profile, to int, step, noise float64) WallLine {
	tol := max(wallTolerance, 2.5*noise)
	half := max(int(0.15/step), 2)
	steep, end := steepRuns(p, half, int(seed/step))
	end = min(end, to)
	var best WallLine
	w := int(seed / step)
	var cands []WallLine
	limit := firstSegment(p, steep, half, end, int(flatFor/step))
	for s := 0; s+w < end; s += max(w/4, 1) {
		if s >= limit && best.Inliers > 0 {
			break // beyond the shelf: the root
		}
		if !allSteep(steep[s : s+w]) {
			continue
		}
		c := support(p, s, s+w, end, tol, steep)
		if float64(c.Inliers)*step >= minSupport {
			cands = append(cands, c)
			if c.Inliers > best.Inliers {
				best = c
			}
		}
	}
	if best.Inliers == 0 {
		return WallLine{LineAngle: -1}
	}
	best = overBevel(leading(p, best, cands, steep, end, step), cands)
	best.ok = true
	best.Foot = foot(p, &best, end, step, max(leaveBy, tol+leaveBy-wallTolerance))
	best.LineAngle = lineAngle(p, best.From, step, noise)
	return best
}

// Extend carries the wall on beyond its last sample as far as the profile keeps to its
// line, up to the sample before to: where the search was kept clear of the finish line, the
// wall itself goes on.
func (w *WallLine) Extend(p *Profile, to int, noise float64) {
	tol := max(wallTolerance, 2.5*noise)
	for k := w.To + 1; k < min(to, p.Len()) && math.Abs(p.Rho[k]-w.At(p.Z[k])) <= tol; k++ {
		w.Inlier = append(w.Inlier, !p.Gap[k])
		if !p.Gap[k] {
			w.Inliers++
		}
		w.To, w.Foot = k, k
	}
}

// leading returns the line nearest to the shelf that has its share of the longest's
// support and does not turn out from the one above it, or is the lower plane of a wall cut
// in two.
func leading(p *Profile, best WallLine, cands []WallLine, steep []bool, end int, step float64) WallLine {
	longest := best
	need := settle * float64(longest.Inliers)
	lower := make([]bool, len(cands))
	most := 0
	for i := range cands {
		if c := &cands[i]; lowerPlane(p, c, &longest, step) && shelfBelow(steep, c.To, end, step) {
			lower[i], most = true, max(most, c.Inliers)
		}
	}
	for i, c := range cands {
		enough := float64(c.Inliers) >= need && most == 0 || lower[i] && float64(c.Inliers) >= settle*float64(most)
		if c.From > best.From && enough && !bevels(&c, &best) {
			best = c
		}
	}
	return best
}

// shares counts the samples that support both lines.
func (w *WallLine) shares(o *WallLine) int {
	n := 0
	for k := max(w.From, o.From); k <= min(w.To, o.To); k++ {
		if w.Inlier[k-w.From] && o.Inlier[k-o.From] {
			n++
		}
	}
	return n
}

// lowerPlane reports whether a line is the lower plane of a wall whose upper one is given.
// It stands inside the upper one drawn on, where the root below a bevel stands outside. The
// upper line may find support again in the corner below it, as below a hollow; so what
// counts is that most of the lower plane does not lie on it.
func lowerPlane(p *Profile, lower, upper *WallLine, step float64) bool {
	z := p.Z[(lower.From+lower.To)/2]
	return float64(lower.Inliers)*step >= leastLower && 2*upper.shares(lower) < lower.Inliers &&
		lower.At(z) < upper.At(z) && lower.B > -leansOut && math.Atan(upper.B)-math.Atan(lower.B) > planeTurn
}

// shelfBelow reports whether a shelf is to be seen below sample k: flatter surface, and
// steep surface again, the root, before the profile climbs at end. Without it what stands
// lower and steeper than the wall may be the root below a knife edge.
func shelfBelow(steep []bool, k, end int, step float64) bool {
	flat, down := 0, 0
	for ; k < end; k++ {
		switch {
		case !steep[k]:
			flat++
			down = 0
		case float64(flat)*step >= leastFlat:
			down++
		default:
			flat = 0
		}
		if float64(down)*step >= flatFor {
			return true
		}
	}
	return false
}

// overBevel returns the line that a line is the bevel of, where there is one of its
// share of the support; else the line itself. What leans out under the axis above it is
// the upper lip of a hollow and no wall.
func overBevel(best WallLine, cands []WallLine) WallLine {
	wall := best
	for _, c := range cands {
		if c.From < best.From && bevels(&best, &c) && c.B > -leansOut &&
			float64(c.Inliers) >= settle*float64(best.Inliers) && (wall.From == best.From || c.Inliers > wall.Inliers) {
			wall = c
		}
	}
	return wall
}

// bevels reports whether a line turns outwards from the wall above it. The bevel of a
// knife edge does so, over half a millimetre and longer: steep and straight as it is, it
// is the finish line. The lower plane of a wall cut in two turns the other way.
func bevels(lower, upper *WallLine) bool {
	return math.Atan(lower.B)-math.Atan(upper.B) > bevelTurn
}

// steepRuns marks the samples whose heading is a wall's and returns where the search
// ends: where the profile, having come down a steep run of the given length, climbs
// the gum. A groove of the occlusal surface climbs before that and does not count.
func steepRuns(p *Profile, half, long int) (steep []bool, end int) {
	n := p.Len()
	steep = make([]bool, n)
	run, down := 0, false
	for i := range n {
		th, ok := p.Heading(i, -half, half)
		steep[i] = ok && th > steepFrom && th < steepTo
		if steep[i] {
			run++
		} else {
			run = 0
		}
		down = down || run >= long
		if ok && down && th < -math.Pi/4 {
			return steep, i
		}
	}
	return steep, n
}

// firstSegment returns the sample at which the first steep run that is long enough
// for a wall has been followed by flat samples of surface that is flatter than a wall.
func firstSegment(p *Profile, steep []bool, half, end, flat int) int {
	run, level := 0, 0
	for i := range end {
		_, ok := p.Heading(i, -half, half)
		switch {
		case steep[i]:
			run++
			level = 0
		case ok:
			level++
		}
		if level >= flat {
			if float64(run)*FanStep >= minSupport {
				return i
			}
			run = 0
		}
	}
	return end
}

func allSteep(s []bool) bool {
	for _, b := range s {
		if !b {
			return false
		}
	}
	return true
}

// support fits a line to [a, b), collects the inliers on the steep run around it,
// and refits twice. The run may be broken by a hollow or a gap but ends where the
// profile is outside the band for more than 1.5 mm.
func support(p *Profile, a, b, end int, tol float64, steep []bool) WallLine {
	w := fitLine(p, a, b, nil)
	var in, fit, last []bool // room for the rounds
	for round := range 3 {
		f, t := reach(p, w, (a+b)/2, end, tol, steep)
		trim := min(int(trimMost/FanStep), int(trimShare*float64(t-f)))
		in, fit, last = slices.Grow(in[:0], t-f+1)[:t-f+1], slices.Grow(last[:0], t-f+1)[:t-f+1], fit
		count := 0
		for i := range in {
			k := f + i
			in[i] = steep[k] && !p.Gap[k] && math.Abs(p.Rho[k]-w.At(p.Z[k])) <= tol
			fit[i] = in[i] && i >= trim && t-k >= trim
			if in[i] {
				count++
			}
		}
		if round > 0 && f == w.From && t == w.To && slices.Equal(fit, last) {
			w.Inliers = count
			break // the same samples again give the same line, and so would any further round
		}
		w = fitLine(p, f, t+1, fit)
		w.From, w.To, w.Inliers = f, t, count
	}
	w.Inlier = slices.Clone(in)
	return w
}

// reach walks from the middle both ways to the last inlier before a break of more
// than 1.5 mm: 60 samples at the usual step.
func reach(p *Profile, w WallLine, mid, end int, tol float64, steep []bool) (from, to int) {
	const breakSamples = 60
	inlier := func(k int) bool {
		return steep[k] && !p.Gap[k] && math.Abs(p.Rho[k]-w.At(p.Z[k])) <= tol
	}
	from, to = mid, mid
	for k := mid; k >= 0 && from-k < breakSamples; k-- {
		if inlier(k) {
			from = k
		}
	}
	for k := mid; k < end && k-to < breakSamples; k++ {
		if p.Rho[k]-w.At(p.Z[k]) > 0.25 {
			break // well outside the line: the shelf; what lies beyond is root
		}
		if inlier(k) {
			to = k
		}
	}
	return from, to
}

// fitLine fits ρ = A - B·z by least squares over the samples [a, b) that in marks
// (all where nil).
func fitLine(p *Profile, a, b int, in []bool) WallLine {
	var n, mr, mz float64
	use := func(k int) bool { return in == nil || in[k-a] }
	for k := a; k < b; k++ {
		if use(k) {
			n++
			mr += p.Rho[k]
			mz += p.Z[k]
		}
	}
	if n < 3 {
		return WallLine{}
	}
	mr, mz = mr/n, mz/n
	var szz, szr float64
	for k := a; k < b; k++ {
		if use(k) {
			dz := p.Z[k] - mz
			szz += dz * dz
			szr += dz * (p.Rho[k] - mr)
		}
	}
	w := WallLine{Inliers: int(n)}
	if szz > 0 {
		w.B = -szr / szz
	}
	w.A = mr + w.B*mz
	var ss float64
	for k := a; k < b; k++ {
		if use(k) {
			e := p.Rho[k] - w.At(p.Z[k])
			ss += e * e
		}
	}
	w.RMS = math.Sqrt(ss / n)
	return w
}

// foot returns the sample where the profile leaves the line outwards for good: by more
// than the given distance, which is beyond what the noise does.
func foot(p *Profile, w *WallLine, end int, step, by float64) int {
	run := max(int(leaveOver/step), 2)
	mid := (w.From + w.To) / 2
	count := 0
	for k := mid; k < end; k++ {
		if !p.Gap[k] && p.Rho[k]-w.At(p.Z[k]) > by {
			count++
		} else {
			count = 0
		}
		if count >= run {
			return k - count + 1
		}
	}
	return w.To
}

// flatAbove is how much flatter surface, in mm, more than steep ends the search for a line
// angle, and leastFlat how much there has to be: a facet that noise tilts is none.
const (
	flatAbove = 0.3
	leastFlat = 0.1
)

// A heading is taken over headingReach each way; beyond roughFrom, mm of noise, over as
// much more, up to twice, as the error of a slope over a window falls with its length.
const (
	headingReach = 0.1
	roughFrom    = 0.015
)

// lineAngle returns the place above the wall at which the heading passes 45°.
func lineAngle(p *Profile, from int, step, noise float64) int {
	half := max(int(headingReach*min(max(noise/roughFrom, 1), 2)/step), 2)
	last, absent := p.Until(from+int(0.3/step), -1, int(flatAbove/step), func(k int) (bool, bool) {
		th, ok := p.Heading(k, -half, half)
		return th > math.Pi/4, ok
	})
	if float64(absent)*step < leastFlat {
		return -1
	}
	return max(last-1, 0)
}
