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
// Root is the length of profile from the margin to where it turns out of the root's
// direction or the data ends; the virtual corner below is not counted. Sulcus is
// the distance across the axis to the first surface beyond the floor that stands as
// high as the margin; where the gum stays lower there is no sulcus to measure.
func Beyond(m *prep.Margin) Below {
	n := len(m.Points)
	root := nans(n)
	sulcus := nans(n)
	lower := 0
	for i := range m.Points {
		if !readable(m, i) {
			continue
		}
		var gumLower bool
		root[i], sulcus[i], gumLower = beyond(m, i)
		if gumLower {
			lower++
		}
	}
	p := m.Fan.Prep
	u := 2 * math.Sqrt(p.Noise*p.Noise+p.Spacing*p.Spacing/16)
	return Below{
		Root:   least(m, root, u, "no readable margin"),
		Sulcus: least(m, sulcus, u, sulcusWhy(lower, n)),
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

// beyond follows one profile outwards from the margin.
func beyond(m *prep.Margin, i int) (root, sulcus float64, gumLower bool) {
	p := &m.Fan.Profiles[i]
	step := m.Fan.Step
	half := max(int(0.075/step), 2)
	edge := m.Points[i].Sample
	floor := p.Len()
	for k := edge + half; k < p.Len(); k++ {
		th, ok := p.Heading(k, -half, half)
		if p.Gap[k] || (ok && th < rootHeading) {
			floor = k
			break
		}
	}
	root = float64(min(floor, p.Len()-1)-edge) * step
	g := m.Fan.Prep.Frame().Point(m.Points[i].At)
	rho := math.Hypot(g.X, g.Y)
	for k := floor; k < p.Len() && !p.Gap[k]; k++ {
		if p.Z[k] >= g.Z {
			return root, (p.Rho[k] - rho) * math.Cos(m.Tilt(i)), false
		}
	}
	const seenAside = 1.5 // mm of surface beyond the floor that shows the gum's crest
	return root, math.NaN(), p.Len()-floor > int(seenAside/step)
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
	own := max(m.Fan.Prep.Noise, 0.005) * 1000 // a smoothed crest is about as noisy as one vertex
	rms := num.RMS(d) * 1000
	return measure.Of(math.Sqrt(max(rms*rms-own*own, 0)), 2*own, measure.Micro)
}
