package margin

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/prep"
)

// Bounds of what belongs to the wall round the tooth. A root found in the wall's place,
// where the scan lacks the wall, stands outside it by the shelf, half a millimetre or
// more, and ends below its foot.
const (
	strayOut   = 0.25 // mm outside the wall's own curve at its middle height
	strayBelow = 0.5  // mm that its foot lies below the others'
	strayFar   = 2.0  // mm outside that curve: a neighbour's wall, whatever its foot
	wallOrder  = 3    // waves of that curve: gaps of up to 40° cannot mislead it
)

// dropStrays forgets walls that are not the preparation's: where the wall is missing in
// the scan the longest steep line is the root below the finish line, and a search that
// started from its foot would begin beyond the margin.
func dropStrays(fan *prep.Fan, walls []prep.WallLine) {
	var phi, rho, foot, mid []float64
	var at []int
	for i := range walls {
		if w := &walls[i]; w.Found() {
			p := &fan.Profiles[i]
			phi, at = append(phi, p.Azimuth), append(at, i)
			mid, foot = append(mid, p.Z[(w.From+w.To)/2]), append(foot, p.Z[w.Foot])
		}
	}
	if len(at) == 0 {
		return
	}
	level, lowest := num.Median(mid), num.Median(foot)-aboveFeet
	kept := at[:0:0]
	for k, i := range at {
		if fan.Profiles[i].Z[walls[i].From] < lowest {
			walls[i] = prep.WallLine{LineAngle: -1} // all of it lies below where the others end
			continue
		}
		kept = append(kept, i)
		phi[len(kept)-1], foot[len(kept)-1] = phi[k], foot[k]
	}
	at, phi, foot = kept, phi[:len(kept)], foot[:len(kept)]
	for _, i := range at {
		rho = append(rho, walls[i].At(level))
	}
	out, _, ok1 := num.FitHarmonicRobust(phi, rho, wallOrder)
	low, _, ok2 := num.FitHarmonicRobust(phi, foot, wallOrder)
	if !ok1 || !ok2 {
		return
	}
	for k, i := range at {
		beyond := rho[k] - out.At(phi[k])
		if beyond > strayFar || beyond > strayOut && foot[k] < low.At(phi[k])-strayBelow {
			walls[i] = prep.WallLine{LineAngle: -1}
		}
	}
}

// highFoot is by how much more, mm, than round the tooth a wall may end above the line: a
// shelf is as high all round but for its slope.
const highFoot = 0.9

// dropHigh forgets walls that end far above the traced line: below such a face lies
// another one, a sheet that closes a hole, the fossa of a front tooth, and the wall that
// leads to the line is not seen. Its taper is not that of the preparation.
func dropHigh(m *prep.Margin) {
	g := m.Fan.Prep.Frame()
	over := make([]float64, len(m.Walls))
	var all []float64
	for i := range m.Walls {
		if w := &m.Walls[i]; w.Found() {
			over[i] = m.Fan.Profiles[i].Z[w.Foot] - g.Point(m.Points[i].At).Z
			all = append(all, over[i])
		}
	}
	if len(all) == 0 {
		return
	}
	usual := num.Median(all)
	for i := range m.Walls {
		if m.Walls[i].Found() && over[i] > usual+highFoot {
			m.Walls[i] = prep.WallLine{LineAngle: -1}
		}
	}
}

// A line within knifeWide of where the walls themselves arrive is a knife edge: no shelf
// parts it from them. Its bevel, which may be steeper than any angle that tells it from the
// wall, is half a millimetre high; the wall is taken aboveBevel mm over the line (trade.md
// §1.2: walls are measured half a millimetre clear of the shelf).
const (
	knifeWide  = knifeBelow
	aboveBevel = 1.2
)

// clearBevel finds the walls of a knife edge anew, above its bevel. Taken into the wall's
// line the bevel tilted the axis by 1.5°, and half of the wall then passed for undercut.
func clearBevel(m *prep.Margin) {
	g := m.Fan.Prep.Frame()
	n := len(m.Walls)
	off := make([]float64, 0, n)
	for i := range m.Walls {
		if w := &m.Walls[i]; w.Found() && readable(m, i) {
			q := g.Point(m.Points[i].At)
			off = append(off, math.Hypot(q.X, q.Y)-w.At(q.Z))
		}
	}
	if len(off) < n/4 || num.Median(off) > knifeWide {
		return
	}
	prep.EachProfile(m.Fan, func(i int) {
		p, w := &m.Fan.Profiles[i], &m.Walls[i]
		if !w.Found() {
			return
		}
		level := g.Point(m.Points[i].At).Z + aboveBevel
		to := w.From
		for to < p.Len() && p.Z[to] > level {
			to++
		}
		if *w = prep.FindWallTo(p, to, m.Fan.Step, m.Fan.Prep.Noise); w.Found() {
			w.Extend(p, m.Points[i].Sample, m.Fan.Prep.Noise)
		}
	})
}

// footReach is how many profiles each way the median foot is taken over: 10 degrees.
const footReach = 20

// steadyFeet returns, as samples, the place at which the wall ends: the median of the
// walls' feet over neighbours. One profile in a corner may take a facet higher up for
// its wall, or find none. Distance from the axis and height are carried over, not the
// count of samples, which differs where a profile crosses a hole.
func steadyFeet(fan *prep.Fan, walls []prep.WallLine) []int {
	n := len(walls)
	out := make([]int, n)
	var rho, z []float64
	for i := range walls {
		for reach := footReach; ; reach *= 2 {
			rho, z = rho[:0], z[:0]
			for d := -reach; d <= reach; d++ {
				k := (i + d + n) % n
				if w := &walls[k]; w.Found() {
					rho = append(rho, fan.Profiles[k].Rho[w.Foot])
					z = append(z, fan.Profiles[k].Z[w.Foot])
				}
			}
			if len(rho) > footReach/2 || reach > n/2 {
				break
			}
		}
		slices.Sort(rho)
		slices.Sort(z)
		out[i] = closestSample(&fan.Profiles[i], rho[len(rho)/2], z[len(z)/2])
	}
	return out
}

// footLevel returns the median height at which the walls end round the tooth.
func footLevel(fan *prep.Fan, walls []prep.WallLine) float64 {
	var z []float64
	for i := range walls {
		if w := &walls[i]; w.Found() {
			z = append(z, fan.Profiles[i].Z[w.Foot])
		}
	}
	return num.Median(z)
}

// reaches returns the first sample of a profile from one on that lies below a height,
// or that one where none does: over a whole quarter of a front tooth the palatal face
// may pass for the wall, whose foot lies millimetres above the line.
func reaches(p *prep.Profile, from int, height float64) int {
	for k := from; k < p.Len(); k++ {
		if p.Z[k] < height {
			return k
		}
	}
	return from
}

// closestSample returns the sample of a profile that lies nearest to (rho, z); 0 where
// the profile is empty.
func closestSample(p *prep.Profile, rho, z float64) int {
	best, at := math.Inf(1), 0
	for k := range p.Len() {
		if d := math.Hypot(p.Rho[k]-rho, p.Z[k]-z); d < best {
			best, at = d, k
		}
	}
	return at
}
