package margin

import (
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// Below is what is seen outside the finish line: the root under it and the open
// sulcus beside it.
type Below struct {
	Root   measure.Value // mm along the surface, least after a median over azimuth
	Sulcus measure.Value // mm across the axis from the margin to the gum at its level, least
}

// rootHeading is the heading down to which the profile is root: flatter than 45° it
// has reached the floor of the sulcus.
const rootHeading = math.Pi / 4

// Beyond measures the root below the line and the width of the sulcus.
//
// Root is the straight distance from the margin to the foot of the root: the lowest
// point before the profile turns out of the root's direction, or where the data ends.
// As with widths, half a millimetre beside doubtful stretches is left out: what covers
// the line there covers the root beside it.
// Sulcus is the distance across the axis from the margin to the first surface beyond
// that stands as high as the margin or, where the gum stays lower, to its
// crest; where there is no crest there is no sulcus to measure. It is taken at places
// that are not captured too, if the profile passes through them: a narrow sulcus, whose
// bottom no light reaches, is why the data ends so near to the line.
func Beyond(m *prep.Margin) Below {
	n := len(m.Points)
	root := nans(n)
	sulcus := nans(n)
	lower := 0
	usable := usablePoints(m, func(i int) bool { return readable(m, i) }) // where the data ends too near, the root is not seen by definition
	for i := range m.Points {
		if m.Points[i].State == prep.Unclear {
			continue
		}
		f, ok := below(m, i)
		if !ok {
			continue
		}
		if usable[i] {
			root[i] = f.root
		}
		sulcus[i] = f.sulcus
		if f.lower {
			lower++
		}
	}
	p := m.Fan.Prep
	u := 2 * math.Sqrt(p.Noise*p.Noise+p.Spacing*p.Spacing/16)
	return Below{
		Root:   least(m, root, u, "no readable margin"),
		Sulcus: least(m, sulcus, 2*math.Sqrt(p.Noise*p.Noise+p.Spacing*p.Spacing/4), sulcusWhy(lower, n)), // both sides bend between vertices
	}
}

func sulcusWhy(lower, n int) string {
	if lower > n/4 {
		return "the gum lies below the margin"
	}
	return "the gum beside the margin is not to be seen"
}

func nans(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = math.NaN()
	}
	return v
}

// least is the least of the values after a median over neighbours, or why there is
// none.
func least(m *prep.Margin, v []float64, u float64, why string) measure.Value {
	low, at := leastWidth(v)
	if math.IsInf(low, 1) {
		return measure.Not(why)
	}
	q := m.Points[at]
	return measure.Of(low, u, measure.MM).At(measure.Place{
		At: q.At, Normal: m.Fan.Prep.Toward(q.Azimuth), Scan: m.Fan.Prep.Scan,
	})
}

// outside is what one profile shows below the margin.
type outside struct {
	root, sulcus float64 // mm; NaN where the profile does not tell
	lower        bool    // the gum is seen, and stays below the margin
}

// Bounds of the search for the gum's crest, mm.
const (
	acrossSulcus = 1.5  // from the margin, across the axis: farther out is no sulcus
	crestFall    = 0.15 // that the gum falls again behind its crest
	crestRise    = 0.1  // that it rises from the floor, to be a crest at all
	footBeyond   = 0.15 // that the root's lowest point may lie past its turn
)

// below follows one profile outwards from the margin. ok is false where the profile
// does not pass through it.
func below(m *prep.Margin, i int) (o outside, ok bool) {
	p := &m.Fan.Profiles[i]
	step := m.Fan.Step
	g := m.Fan.Prep.Frame().Point(m.Points[i].At)
	rho := math.Hypot(g.X, g.Y)
	edge := closestSample(p, rho, g.Z)
	if p.Len() == 0 || apart(p, edge, rho, g.Z) > onSurface || p.Gap[edge] {
		return o, false
	}
	floor := rootEnd(p, edge, step)
	low := edge
	for k := edge; k < min(floor+int(footBeyond/step), p.Len()) && !p.Gap[k]; k++ {
		if p.Z[k] < p.Z[low] {
			low = k
		}
	}
	o.root, o.sulcus = math.Hypot(p.Rho[low]-rho, g.Z-p.Z[low]), math.NaN()
	across := math.Cos(m.Tilt(i))
	top := low
	for k := low; k < p.Len() && p.Rho[k]-rho < acrossSulcus; k++ {
		if p.Gap[k] {
			continue
		}
		if k >= floor && p.Z[k] >= g.Z {
			o.sulcus = max(p.Rho[k]-rho, 0) * across
			return o, true
		}
		if p.Z[k] > p.Z[top] {
			top = k
		}
		if p.Z[k] < p.Z[top]-crestFall {
			break
		}
	}
	if p.Z[top]-p.Z[low] < crestRise {
		o.lower = p.Len()-floor > int(acrossSulcus/step)
		return o, true
	}
	o.sulcus = max(p.Rho[top]-rho, 0) * across
	return o, true
}

// floorFor is how much of another direction, in mm, more than the root's ends the root.
const floorFor = 0.3

// rootEnd returns the sample at which a profile turns out of the root's direction or
// the data ends.
func rootEnd(p *prep.Profile, edge int, step float64) int {
	half := max(int(0.075/step), 2)
	end := edge
	for end < p.Len() && !p.Gap[end] {
		end++
	}
	last, absent := p.Until(min(edge+half, end), 1, int(floorFor/step), func(k int) (bool, bool) {
		th, ok := p.Heading(k, -half, half)
		return th >= rootHeading, ok && k < end
	})
	if absent == 0 {
		return end
	}
	return min(last+1, end)
}

// roughSmooth is the window, in mm, whose smooth the margin is compared with
// (trade.md §1.6).
const roughSmooth = 1.0

// Roughness is the RMS deviation of the readable margin from its own smooth over
// 1 mm, in micrometres, less the share that the tracing's own noise explains.
func Roughness(m *prep.Margin) measure.Value {
	n := len(m.Points)
	var d []float64
	for i := range m.Points {
		if !readable(m, i) {
			continue
		}
		sum, w, whole := r3.Vec{}, 0.0, true
		for dir := -1; dir <= 1; dir += 2 {
			s := 0.0
			for j := 0; j < n/4; j++ {
				k := (i + dir*j + n) % n
				if j > 0 {
					s += m.Points[k].At.Dist(m.Points[(k-dir+n)%n].At)
				}
				if s > roughSmooth/2 {
					break
				}
				if !readable(m, k) {
					whole = false
					break
				}
				sum, w = sum.Add(m.Points[k].At), w+1
			}
		}
		if whole {
			d = append(d, m.Points[i].At.Dist(sum.Scale(1/w)))
		}
	}
	if len(d) < n/4 {
		return measure.Not("too little of the margin is readable")
	}
	// A smoothed crest is about as noisy as one vertex; where two flanks meet at a small
	// turn the noise of each displaces their meeting by as much over its sine.
	own := max(m.Fan.Prep.Noise, 0.005) * 1000 / max(math.Sin(min(typicalTurn(m), math.Pi/2)), 0.1)
	rms := num.RMS(d) * 1000
	return measure.Of(math.Sqrt(max(rms*rms-own*own, 0)), 2*own, measure.Micro)
}
