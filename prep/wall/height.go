package wall

import (
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
)

// names are the chairside words of the quarters.
var names = [4]string{"mesial", "buccal", "distal", "lingual"}

// String returns the surface's name.
func (q Quarter) String() string { return names[q] }

// heights measures, at every azimuth, the distance along the axis from the margin
// to where the profile stands at 45° to the axis at the occlusal line angle. A
// quarter's height is the median over its 90°; the tooth's is the least of the
// four.
func heights(m *prep.Margin, r *Result) {
	b := m.Fan.Prep.BuccalAzimuth()
	middle := [4]float64{0, b, math.Pi, b + math.Pi}
	least := math.Inf(1)
	missing := ""
	for q := range r.Height {
		r.Height[q] = height(m, middle[q], Quarter(q))
		if !r.Height[q].Measured() {
			missing = r.Height[q].Why
			continue
		}
		if r.Height[q].V < least {
			least = r.Height[q].V
			r.HeightLeastAt = Quarter(q)
		}
	}
	if missing != "" {
		r.HeightLeast = measure.Not(missing)
		return
	}
	r.HeightLeast = r.Height[r.HeightLeastAt]
}

func height(m *prep.Margin, middle float64, q Quarter) measure.Value {
	n := len(m.Walls)
	c := index(m, middle)
	reach := n / 8
	g := m.Fan.Prep.Frame()
	var h []float64
	for d := -reach; d < reach; d++ {
		i := (c + d + n) % n
		w := &m.Walls[i]
		pt := &m.Points[i]
		if !w.Found() || w.LineAngle < 0 || pt.State == prep.Unclear || pt.State == prep.NotCaptured {
			continue
		}
		h = append(h, m.Fan.Profiles[i].Z[w.LineAngle]-g.Point(pt.At).Z)
	}
	if len(h) < reach {
		return measure.Not("the " + q.String() + " wall or its margin is not to be seen")
	}
	// Half a sample of heading, the margin's own error and the noise; the spread of
	// the quarter itself is shape, not error.
	p := m.Fan.Prep
	u := 2 * math.Sqrt(p.Noise*p.Noise+0.015*0.015+0.0025*p.Spacing*p.Spacing)
	return measure.Of(num.Median(h), u, measure.MM).At(place(m, c))
}
