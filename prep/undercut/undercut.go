// Package undercut finds the parts of a preparation that a crown cannot pass when
// it is lifted off along the insertion axis.
//
// A point of the wall inside the margin is undercut if something of the same die
// lies above it along the axis. Its depth is the horizontal distance to the survey
// line, which is the thickness of wax that a laboratory would block it out with.
// The root below the margin always lies in shadow and never counts.
package undercut

import (
	"math"
	"slices"

	"selvage/measure"
	"selvage/prep"
)

// Result is the deepest undercut and the area in shadow.
type Result struct {
	Depth      measure.Value // mm, at its place
	Area       measure.Value // mm²
	NearMargin bool          // a proven undercut lies within Options.NearMargin of the margin
	NearDepth  measure.Value // mm, the deepest within Options.NearMargin of the margin; 0 where none is proven
	NearArea   measure.Value // mm², of it
	Map        [][]float64   // depth by profile and sample, 0 where none
}

// Options tunes Measure.
type Options struct {
	// NearMargin is the distance from the margin, in mm along the profile, within
	// which an undercut is reported apart; 0 means 0.5.
	NearMargin float64
}

// Windows and bounds.
const (
	azimuthReach = 3 // profiles each way of the smoothing: 0.26 mm at 5 mm
	sampleReach  = 4 // samples each way: 0.2 mm
	medianReach  = 4 // profiles each way of the median before the greatest is taken
	peakReach    = 8 // profiles each way of the parabola that gives the greatest
	// proof is the depth below which a shadow is noise: three standard deviations
	// of the scan, 40 µm at 13 µm (trade.md §1.6); leastArea its companion.
	proofSigmas = 3.0
	leastProof  = 0.025
	// shadowFrom is the depth from which a sample beside a proven undercut counts to
	// its area: half of the scan's deviation, at least 2 µm.
	shadowShare = 0.5
	shadowLeast = 0.002
	leastArea   = 0.1
	// clearOfEdge leaves the rounded margin itself out, and clearOfGap what lies beside a
	// hole: the last triangles before one are ragged and half seen.
	clearOfEdge = 0.15
	// bridged is how far, mm, an unclear point of the line may lie from where its own
	// profile met it; farther, the profile shows something else than this tooth's side.
	bridged    = 0.5
	clearOfGap = 0.2
)

// Measure finds the undercut of a margin traced about the insertion axis.
//
// The wall is smoothed by local quadratics (Savitzky and Golay 1964) over about 0.2
// mm before the survey line is taken, and the greatest depth is the top of a
// parabola over azimuth: the greatest of noisy values is biased high, that of plain
// means low. A shadow that is not proven (shallower than three
// standard deviations, or under 0.1 mm²) is reported as zero with the uncertainty
// that hides it. Cost: O(azimuths · samples).
func Measure(m *prep.Margin, o Options) Result {
	if o.NearMargin == 0 {
		o.NearMargin = 0.5
	}
	n := len(m.Points)
	p := m.Fan.Prep
	seen := 0
	for i := range m.Walls {
		if sideSeen(m, i) {
			seen++
		}
	}
	if seen < n*3/4 {
		why := "too little of the wall is to be seen"
		return Result{Depth: measure.Not(why), Area: measure.Not(why)}
	}
	r := Result{Map: make([][]float64, n)}
	smooth := smoothed(m)
	worst := make([]float64, n)
	worstAt := make([]int, n)
	for i := range n {
		r.Map[i], worst[i], worstAt[i] = shadow(m, i, smooth[i])
	}
	proof := max(proofSigmas*p.Noise, leastProof)
	area := r.shaded(m, proof, max(shadowShare*p.Noise, shadowLeast))
	depth, at := deepest(worst)
	u := 2 * max(p.Noise, 0.006)
	if depth <= proof || area < leastArea {
		r.Depth = measure.Of(0, max(proof, u), measure.MM)
		r.Area = measure.Of(0, leastArea, measure.MM2)
		r.NearDepth, r.NearArea = r.Depth, r.Area
		clear(r.Map)
		return r
	}
	r.Depth = measure.Of(depth, u, measure.MM).At(place(m, at, worstAt[at]))
	// The edge of a shadow is known to about a smoothing window.
	r.Area = measure.Of(area, leastArea+0.2*math.Sqrt(area), measure.MM2)
	r.near(m, proof, o.NearMargin)
	return r
}

// shaded returns the area of the shadows that are connected, in azimuth and along
// the profile counted from the margin, with a sample deeper than proof; samples
// shallower than least do not connect. Other shadows are cleared from the map.
func (r *Result) shaded(m *prep.Margin, proof, least float64) float64 {
	n := len(r.Map)
	type cell struct{ i, k int }
	at := func(c cell) float64 {
		k := c.k + len(r.Map[c.i])
		if k < 0 || k >= len(r.Map[c.i]) {
			return 0
		}
		return r.Map[c.i][k]
	}
	kept := map[cell]bool{}
	var todo []cell
	for i := range r.Map {
		for k, v := range r.Map[i] {
			if v > proof {
				c := cell{i, k - len(r.Map[i])}
				kept[c] = true
				todo = append(todo, c)
			}
		}
	}
	for len(todo) > 0 {
		c := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, d := range []cell{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			q := cell{(c.i + d.i + n) % n, c.k + d.k}
			if !kept[q] && at(q) > least {
				kept[q] = true
				todo = append(todo, q)
			}
		}
	}
	var area float64
	for i := range r.Map {
		strip := dArea(m, i)
		for k := range r.Map[i] {
			if !kept[cell{i, k - len(r.Map[i])}] {
				r.Map[i][k] = 0
				continue
			}
			area += strip * m.Fan.Profiles[i].Rho[k]
		}
	}
	return area
}

// dArea is the area of a strip one sample long per mm of distance from the axis.
func dArea(m *prep.Margin, i int) float64 {
	return m.Fan.Step * 2 * math.Pi / float64(len(m.Points)) / max(math.Cos(m.Tilt(i)), 0.5)
}

// quadraticWeight is the weight of the sample d from the middle of a window of 2m+1
// equally spaced samples in the least-squares quadratic's value at the middle
// (Savitzky and Golay 1964): it sums to 1 and keeps a parabola as it is.
func quadraticWeight(d, m int) float64 {
	x, k := float64(d*d), float64(m)
	return 3 * (3*k*k + 3*k - 1 - 5*x) / ((2*k - 1) * (2*k + 1) * (2*k + 3))
}

// smoothed averages every profile with its neighbours, sample by sample counted
// from the margin, and along itself.
func smoothed(m *prep.Margin) [][]float64 {
	n := len(m.Points)
	out := make([][]float64, n)
	var weight [2*azimuthReach + 1][2*sampleReach + 1]float64
	for d := range weight {
		for e := range weight[d] {
			weight[d][e] = quadraticWeight(d-azimuthReach, azimuthReach) * quadraticWeight(e-sampleReach, sampleReach)
		}
	}
	for i := range n {
		p := &m.Fan.Profiles[i]
		end := min(m.Points[i].Sample, p.Len())
		s := make([]float64, end)
		for k := range s {
			var sum, w float64
			z := p.Z[k]
			for d := -azimuthReach; d <= azimuthReach; d++ {
				j := (i + d + n) % n
				q := &m.Fan.Profiles[j]
				first := k + m.Points[j].Sample - m.Points[i].Sample - sampleReach
				for x := max(first, 0); x < min(first+2*sampleReach+1, q.Len(), m.Points[j].Sample); x++ {
					if q.Gap[x] || math.Abs(q.Z[x]-z) > 0.3 {
						continue
					}
					g := weight[d+azimuthReach][x-first]
					sum += g * (q.Rho[x] - p.Rho[k])
					w += g
				}
			}
			s[k] = p.Rho[k]
			if w > 0.5 { // most of the window is there
				s[k] += sum / w
			}
		}
		out[i] = s
	}
	return out
}

// shadow returns the depth of every sample of profile i above the margin, the
// deepest and where it is. Depth in the half-plane times the cosine of the wall's
// obliquity is the horizontal distance.
func shadow(m *prep.Margin, i int, rho []float64) (depth []float64, worst float64, at int) {
	p := &m.Fan.Profiles[i]
	depth = make([]float64, len(rho))
	if !sideSeen(m, i) {
		return depth, 0, 0
	}
	cos := max(math.Cos(m.Tilt(i)), 0.5)
	survey, surveyZ := math.Inf(-1), 0.0
	edge := len(rho) - int(clearOfEdge/m.Fan.Step)
	// What lies above the first steep piece is no wall: a crumb on the biting surface, or a fold of
	// the mesh, is in nobody's way.
	top := steepFrom(p, m.Fan.Step)
	gap := besideGap(p, len(rho), int(clearOfGap/m.Fan.Step))
	for k := range rho {
		if gap[k] {
			continue
		}
		if rho[k] >= survey {
			survey, surveyZ = rho[k], p.Z[k]
			continue
		}
		if k < top || k >= edge || p.Z[k] >= surveyZ {
			continue
		}
		depth[k] = (survey - rho[k]) * cos
		if depth[k] > worst {
			worst, at = depth[k], k
		}
	}
	return depth, worst, at
}

// sideSeen reports whether profile i shows the side of the preparation: its straight wall
// or, where a hollow takes that, four fifths of the surface from where the side begins down
// to the line.
func sideSeen(m *prep.Margin, i int) bool {
	if m.Points[i].State == prep.Unclear && m.Points[i].At.Dist(m.Fan.Scan(i, min(m.Points[i].Sample, m.Fan.Profiles[i].Len()-1))) > bridged {
		return false // the line was bridged past where this profile goes: over a neighbour that leans on the tooth
	}
	if m.Walls[i].Found() {
		return true
	}
	p := &m.Fan.Profiles[i]
	from, to := steepFrom(p, m.Fan.Step), m.Points[i].Sample
	if to >= p.Len() || to <= from {
		return false
	}
	gaps := 0
	for _, g := range p.Gap[from:to] {
		if g {
			gaps++
		}
	}
	return 5*gaps < to-from
}

// steepFrom returns the first sample of a profile from which it goes steeply, by more than
// 45°, over most of 0.6 mm: where its sides begin. A hollow in the wall, where the wall's own
// line angle may be lost, lies below that.
func steepFrom(p *prep.Profile, step float64) int {
	half, long := max(int(0.1/step), 2), int(0.6/step)
	steep := make([]int, p.Len()+1)
	for k := range p.Len() {
		steep[k+1] = steep[k]
		if th, ok := p.Heading(k, -half, half); ok && th > math.Pi/4 {
			steep[k+1]++
		}
	}
	for k := 0; k+long <= p.Len(); k++ {
		if 5*(steep[k+long]-steep[k]) > 4*long {
			return k
		}
	}
	return 0
}

// besideGap marks the first n samples of a profile that lie in a gap or within reach samples
// of one.
func besideGap(p *prep.Profile, n, reach int) []bool {
	out := make([]bool, n)
	for k, g := range p.Gap {
		if !g {
			continue
		}
		for i := max(k-reach, 0); i <= min(k+reach, n-1); i++ {
			out[i] = true
		}
	}
	return out
}

// deepest returns the greatest of the median-filtered depths and its profile.
func deepest(worst []float64) (depth float64, at int) {
	n := len(worst)
	win := make([]float64, 0, 2*medianReach+1)
	for i := range worst {
		win = win[:0]
		for d := -medianReach; d <= medianReach; d++ {
			win = append(win, worst[(i+d+n)%n])
		}
		slices.Sort(win)
		if v := win[len(win)/2]; v > depth {
			depth, at = v, i
		}
	}
	return max(depth, peak(worst, at)), at
}

// peak is the value at the middle of a parabola fitted to the profiles about at: the
// median of values that fall off on both sides lies below their top. A fit that
// leaves the range of the values themselves is not believed.
func peak(worst []float64, at int) float64 {
	n := len(worst)
	var sum, top float64
	for d := -peakReach; d <= peakReach; d++ {
		v := worst[(at+d+n)%n]
		sum += quadraticWeight(d, peakReach) * v
		top = max(top, v)
	}
	return min(sum, top)
}

// near reports the deepest proven undercut within a distance of the margin.
func (r *Result) near(m *prep.Margin, proof, within float64) {
	reach := int(within / m.Fan.Step)
	worst, at, k := 0.0, 0, 0
	count := 0.0
	for i := range r.Map {
		for s := max(len(r.Map[i])-reach, 0); s < len(r.Map[i]); s++ {
			if v := r.Map[i][s]; v > proof {
				count += dArea(m, i) * m.Fan.Profiles[i].Rho[s]
				if v > worst {
					worst, at, k = v, i, s
				}
			}
		}
	}
	r.NearDepth = measure.Of(0, r.Depth.U, measure.MM)
	r.NearArea = measure.Of(0, leastArea, measure.MM2)
	if count >= leastArea {
		r.NearMargin = true
		r.NearDepth = measure.Of(worst, r.Depth.U, measure.MM).At(place(m, at, k))
		r.NearArea = measure.Of(count, leastArea, measure.MM2)
	}
}

func place(m *prep.Margin, i, k int) measure.Place {
	p := m.Fan.Prep
	return measure.Place{At: m.Fan.Scan(i, k), Normal: p.Toward(m.Points[i].Azimuth), Scan: p.Scan}
}
