package margin

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/prep"
)

// Step bound and stiffness of the path. Between two of 720 azimuths the line of
// a molar advances about 0.044 mm; a papilla makes it climb at most two to one,
// four samples of 0.025 mm. The stiffness charges a climb of three samples as
// much as a seventh of a full right-angled turn, which lets the path follow a
// scallop but not a single noisy profile.
const (
	stepBound = 4
	stiffness = 0.025
)

// arcWindow is the half-width, mm, of the mean that a profile's length is taken along.
// The noise of single points lengthens a profile, one more than the next: at 0.036 mm by
// as much over a wall as a path can follow in ten profiles.
const arcWindow = 0.2

// smoothArc returns the length of a profile up to each sample, along its own mean over
// arcWindow each way.
func smoothArc(p *prep.Profile, step float64) []float64 {
	n := p.Len()
	half := int(arcWindow / step)
	sumR, sumZ := make([]float64, n+1), make([]float64, n+1)
	for i := range n {
		sumR[i+1], sumZ[i+1] = sumR[i]+p.Rho[i], sumZ[i]+p.Z[i]
	}
	out := make([]float64, n)
	var lastR, lastZ float64
	for i := range n {
		h := min(half, i, n-1-i) // shrinks towards both ends
		k := float64(2*h + 1)
		r, z := (sumR[i+h+1]-sumR[i-h])/k, (sumZ[i+h+1]-sumZ[i-h])/k
		if i > 0 {
			out[i] = out[i-1] + math.Hypot(r-lastR, z-lastZ)
		}
		lastR, lastZ = r, z
	}
	return out
}

// lane is the evidence of one profile in equal steps of smooth length from its origin.
type lane struct {
	lo     int // first step
	turn   []float64
	sample []int // the sample of most evidence in each step
	after  int   // sample that follows the last step
}

// laneOf lays the scores of a profile out from the sample origin.
func laneOf(p *prep.Profile, s *scores, origin int, step float64) lane {
	if len(s.turn) == 0 || origin >= p.Len() {
		return lane{after: p.Len()}
	}
	arc := smoothArc(p, step)
	at := func(k int) int { return int(math.Floor((arc[k] - arc[max(origin, 0)]) / step)) }
	l := lane{lo: at(s.lo), after: s.lo + len(s.turn)}
	for k := s.lo; k < l.after; k++ {
		for len(l.turn) <= at(k)-l.lo {
			l.turn, l.sample = append(l.turn, 0), append(l.sample, k)
		}
		if t := s.at(k); t > l.turn[len(l.turn)-1] {
			l.turn[len(l.turn)-1], l.sample[len(l.turn)-1] = t, k
		}
	}
	return l
}

// spread lends every step the best evidence within reach steps of it, less slackLoss for
// each: the length of a noisy profile is itself known no better.
func (l *lane) spread(reach int) {
	turn, sample := slices.Clone(l.turn), slices.Clone(l.sample)
	for b := range turn {
		for d := -reach; d <= reach; d++ {
			k := b + d
			if k < 0 || k >= len(l.turn) {
				continue
			}
			if t := l.turn[k] * (1 - slackLoss*math.Abs(float64(d))); t > turn[b] {
				turn[b], sample[b] = t, l.sample[k]
			}
		}
	}
	l.turn, l.sample = turn, sample
}

// Slack of a lane in steps: none up to the usual noise, then as many as noise displaces
// a place along its profile. A candidate loses slackLoss of its evidence per step.
const (
	slackPerNoise = 4.0
	mostSlack     = 8
	slackLoss     = 0.05
)

func (l *lane) at(b int) float64 {
	if b < l.lo || b >= l.lo+len(l.turn) {
		return 0
	}
	return l.turn[b-l.lo]
}

// sampleOf returns the sample at a step; before or after the lane it counts on evenly.
func (l *lane) sampleOf(b int) int {
	switch {
	case len(l.turn) == 0:
		return l.after
	case b < l.lo:
		return max(l.sample[0]+b-l.lo, 0)
	case b >= l.lo+len(l.turn):
		return l.after + b - l.lo - len(l.turn)
	}
	return l.sample[b-l.lo]
}

// closedPath returns, for every profile, the sample at which the closed path of
// most evidence passes: it maximises Σ turn - stiffness·(jump in steps)².
//
// The programme runs over two turns and keeps the middle one, so that neither end
// is free of its neighbour. Cost: O(2·profiles·steps·stepBound).
//
// Samples of neighbouring profiles are told to belong together by their smooth length
// from origin, a place on the wall (one per profile): counted from the axis, a crumb or
// a crack on the occlusal surface would shift a profile against its neighbours.
func closedPath(fan *prep.Fan, s []scores, origin []int) []int {
	n := len(s)
	lanes := make([]lane, n)
	slack := min(int(slackPerNoise*max(fan.Prep.Noise/usualNoise-1, 0)), mostSlack)
	prep.EachProfile(fan, func(i int) {
		lanes[i] = laneOf(&fan.Profiles[i], &s[i], origin[i], fan.Step)
		lanes[i].spread(slack)
	})
	hi, lo := math.MinInt, math.MaxInt
	for i := range lanes {
		if l := &lanes[i]; len(l.turn) > 0 {
			lo = min(lo, l.lo)
			hi = max(hi, l.lo+len(l.turn))
		}
	}
	if hi < lo {
		return origin // no evidence anywhere
	}
	width := hi - lo
	rows := 2 * n
	prev, next := make([]float64, width), make([]float64, width)
	from := make([]int8, rows*width)
	for r := range rows {
		l := &lanes[r%n]
		for j := range width {
			best, arg := math.Inf(-1), 0
			for d := -stepBound; d <= stepBound; d++ {
				k := j + d
				if k < 0 || k >= width {
					continue
				}
				if v := prev[k] - stiffness*float64(d*d); v > best {
					best, arg = v, d
				}
			}
			next[j] = best + l.at(lo+j)
			from[r*width+j] = int8(arg)
		}
		prev, next = next, prev
	}
	j := 0
	for k := range prev {
		if prev[k] > prev[j] {
			j = k
		}
	}
	path := make([]int, n)
	for r := rows - 1; r >= 0; r-- {
		if r >= n/2 && r < n/2+n {
			path[r%n] = lanes[r%n].sampleOf(lo + j)
		}
		j += int(from[r*width+j])
	}
	return path
}

// origins returns, per profile, the sample at which its wall passes one common height:
// the median of the walls' middles. A profile without a wall takes its neighbours'.
func origins(fan *prep.Fan, walls []prep.WallLine) []int {
	n := len(walls)
	var mids []float64
	for i := range walls {
		if w := &walls[i]; w.Found() {
			mids = append(mids, fan.Profiles[i].Z[(w.From+w.To)/2])
		}
	}
	z0 := num.Median(mids)
	out := make([]int, n)
	last, rho, z := -1, 0.0, 0.0
	for r := range 2 * n { // the second turn fills what lies before the first wall
		i := r % n
		if w := &walls[i]; w.Found() {
			last, rho, z = i, w.At(z0), z0
		}
		if last >= 0 {
			out[i] = closestSample(&fan.Profiles[i], rho, z)
		}
	}
	return out
}
