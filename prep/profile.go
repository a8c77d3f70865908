package prep

import (
	"math"

	"selvage/r3"
)

// Profile is the section of a preparation by one half-plane through the axis,
// followed from the axis outwards and down and resampled at equal arc length.
// Where the surface has a hole that the half-plane crosses, the straight bridge
// over it is kept with Gap set; after the last sample the data has ended.
type Profile struct {
	Azimuth float64
	Rho, Z  []float64
	Gap     []bool
}

// Len returns the number of samples.
func (p *Profile) Len() int { return len(p.Rho) }

// Heading returns the direction of travel at sample i from a least-squares line
// over the samples [i+from, i+to]: 0 runs outwards across the axis, π/2 runs
// straight down towards the root, -π/2 climbs. ok is false where the window
// leaves the profile, holds fewer than three samples or lies over a gap.
func (p *Profile) Heading(i, from, to int) (theta float64, ok bool) {
	a, b := i+from, i+to
	if a < 0 || b >= len(p.Rho) || b-a < 2 {
		return 0, false
	}
	var mr, mz, mt float64
	n := float64(b - a + 1)
	for k := a; k <= b; k++ {
		if p.Gap[k] {
			return 0, false
		}
		mr += p.Rho[k]
		mz += p.Z[k]
		mt += float64(k)
	}
	mr, mz, mt = mr/n, mz/n, mt/n
	var sr, sz float64
	for k := a; k <= b; k++ {
		t := float64(k) - mt
		sr += t * (p.Rho[k] - mr)
		sz += t * (p.Z[k] - mz)
	}
	if sr == 0 && sz == 0 {
		return 0, false
	}
	return math.Atan2(-sz, sr), true
}

// turn returns b - a folded to (-π, π].
func turn(a, b float64) float64 {
	d := b - a
	for d > math.Pi {
		d -= 2 * math.Pi
	}
	for d <= -math.Pi {
		d += 2 * math.Pi
	}
	return d
}

// Turn returns the change of heading at sample i from a line over the w samples
// before it to a line over the w samples after it, and the two headings. Positive
// is convex. ok is false where either line has no data.
func (p *Profile) Turn(i, w int) (angle, before, after float64, ok bool) {
	return p.TurnInto(i, w, w)
}

// TurnInto is Turn with windows of different length before and after the sample.
func (p *Profile) TurnInto(i, wBefore, wAfter int) (angle, before, after float64, ok bool) {
	before, ok1 := p.Heading(i, -wBefore, 0)
	after, ok2 := p.Heading(i, 0, wAfter)
	return turn(before, after), before, after, ok1 && ok2
}

// Until follows the profile from sample from by steps of +1 or -1 and returns the last
// sample of the stretch in which a property holds, as the place that best parts samples
// that have it from those that have not: the first sample without it by itself would lie
// where the noise is largest, which is always too near. The search ends where the property
// has been absent for give samples more than it was there since that place. A sample that
// has no answer (told false) counts neither way. absent is by how many samples the
// property was absent beyond the place: none where the profile ends with it still there.
func (p *Profile) Until(from, by, give int, holds func(k int) (is, told bool)) (last, absent int) {
	last = from
	score, best := 0, 0
	for k := from; k >= 0 && k < p.Len() && best-score < give; k += by {
		is, told := holds(k)
		switch {
		case !told:
			continue
		case is:
			score++
		default:
			score--
		}
		if score > best {
			last, best = k, score
		}
	}
	return last, best - score
}

// raw is one crossing of the walk, before resampling.
type raw struct {
	rho, z float64
	gap    bool // the straight piece that ends here crosses a hole
}

// resample returns the polyline at equal arc length. The first sample is the
// first crossing.
func resample(azimuth float64, pts []raw, step float64) Profile {
	pr := Profile{Azimuth: azimuth}
	if len(pts) == 0 {
		return pr
	}
	pr.add(pts[0].rho, pts[0].z, false)
	carry := 0.0 // arc length since the last sample
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := math.Hypot(b.rho-a.rho, b.z-a.z)
		for t := step - carry; t <= l; t += step {
			f := t / l
			pr.add(a.rho+f*(b.rho-a.rho), a.z+f*(b.z-a.z), b.gap)
		}
		carry = math.Mod(carry+l, step)
	}
	return pr
}

func (p *Profile) add(rho, z float64, gap bool) {
	p.Rho = append(p.Rho, rho)
	p.Z = append(p.Z, z)
	p.Gap = append(p.Gap, gap)
}

// Point returns sample i in the frame of the preparation.
func (p *Profile) Point(i int) r3.Vec {
	s, c := math.Sincos(p.Azimuth)
	return r3.V(p.Rho[i]*c, p.Rho[i]*s, p.Z[i])
}
