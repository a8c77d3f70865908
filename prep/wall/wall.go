// Package wall measures the axial wall of a preparation about its insertion axis:
// taper and convergence, height, the ratio of height to base, area, and the form
// that resists rocking.
//
// Taper is one wall against the axis, convergence the sum of the tapers of two
// opposing walls; the literature uses "taper" for both, this package never does.
// Angles are radians inside and degrees in the values that leave it.
package wall

import (
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// Quarter is one of the four sides of a preparation.
type Quarter int

// The quarters, in the order in which results list them.
const (
	Mesial Quarter = iota
	Buccal
	Distal
	Lingual
)

// Result is what the wall says. Every value is measured or says why not.
type Result struct {
	Mesiodistal, Buccolingual measure.Value // convergence, degrees
	Diagonal                  [2]measure.Value
	Mean                      measure.Value    // area-weighted, degrees
	Height                    [4]measure.Value // by Quarter, mm
	HeightLeast               measure.Value
	HeightLeastAt             Quarter
	Base                      measure.Value // buccolingual width of the margin across the axis, mm
	HeightToBase              measure.Value
	Area                      measure.Value // mm²
	Resistance                measure.Value
	ResistanceAt              float64 // azimuth of the weakest fulcrum
}

// planeReach is the part of the wall each side of a plane that gives its taper:
// a quadratic in azimuth over 20 degrees each way.
const planeReach = 20 * math.Pi / 180

// Measure returns the wall's measures for a margin traced about the insertion
// axis. Only azimuths where the wall is seen, and for heights where the margin is
// readable, count; a side with less than half of them is not measured.
//
// Accuracy: doc/accuracy.md. Cost: O(azimuths²) for the resistance, else linear.
func Measure(m *prep.Margin) Result {
	var r Result
	b := m.Fan.Prep.BuccalAzimuth()
	facets := m.Facets()
	whole, filled, t, ok := unbroken(m, facets)
	if !ok {
		why := "too little of the wall is to be seen"
		r.Mesiodistal, r.Buccolingual, r.Mean = measure.Not(why), measure.Not(why), measure.Not(why)
		r.Diagonal = [2]measure.Value{measure.Not(why), measure.Not(why)}
	} else {
		r.Mesiodistal = convergence(m, &t, 0, "mesial", "distal")
		r.Buccolingual = convergence(m, &t, b, "buccal", "lingual")
		r.Diagonal[0] = convergence(m, &t, b/2, "mesiobuccal", "distolingual")
		r.Diagonal[1] = convergence(m, &t, b/2+math.Pi/2, "distobuccal", "mesiolingual")
		r.Mean = meanConvergence(m, whole, filled, &t)
	}
	heights(m, &r)
	r.Base = base(m)
	r.HeightToBase = ratio(r.HeightLeast, r.Base)
	r.Area = area(m, facets)
	r.Resistance, r.ResistanceAt = resistance(m, facets, whole)
	return r
}

// Hold returns what [Measure] does of the resistance and of the azimuth of the weakest
// fulcrum, without the rest.
func Hold(m *prep.Margin) (share measure.Value, at float64) {
	facets := m.Facets()
	whole, _, _, _ := unbroken(m, facets)
	return resistance(m, facets, whole)
}

// unbroken returns the facets with the wall round them in place of hollows and gaps, and
// the share of them that was filled so. They are as they were where no taper of the wall
// could be fitted and ok is false.
func unbroken(m *prep.Margin, facets []prep.Facet) (whole []prep.Facet, filled float64, t prep.Taper, ok bool) {
	if t, ok = prep.FitTaper(facets, r3.V(0, 0, 1)); !ok {
		return facets, 0, t, false
	}
	whole, filled = t.Fill(facets, m.Hollowed())
	return whole, filled, t, true
}

const degree = math.Pi / 180

// straightU, in degrees, is what the lines of two opposite walls keep of the
// roundings at their ends (k = 2): measured on phantoms of known taper, where it is
// what is left without noise, 0.15, and what the plane cut leaves where the taper changes
// beside it; with 0.15 alone the stated uncertainty held the truth of phantoms in 89 of 100.
const straightU = 0.25

// index returns the profile nearest to an azimuth.
func index(m *prep.Margin, azimuth float64) int {
	n := len(m.Walls)
	k := int(math.Round(azimuth / (2 * math.Pi) * float64(n)))
	return ((k % n) + n) % n
}

// convergence adds the tapers at an azimuth and opposite it.
func convergence(m *prep.Margin, t *prep.Taper, azimuth float64, here, there string) measure.Value {
	t1, u1, ok1 := taper(m, t, azimuth)
	t2, u2, ok2 := taper(m, t, azimuth+math.Pi)
	switch {
	case !ok1:
		return measure.Not("the " + here + " wall is not to be seen, or a hollow takes its place")
	case !ok2:
		return measure.Not("the " + there + " wall is not to be seen, or a hollow takes its place")
	}
	// Where the wall's taper is not smooth round the tooth, as on front teeth, the plane
	// itself is known no better than the harmonics fit.
	u := math.Hypot(math.Hypot(u1, u2)/degree, straightU)
	return measure.Of((t1+t2)/degree, math.Hypot(u, 3*t.Misfit/degree), measure.Deg)
}

// taper fits the taper of the profiles within planeReach by a quadratic in
// azimuth and returns its value at the middle with its uncertainty: the residual's
// deviation over the root of the independent profiles (those a mesh edge apart),
// times 1.5 for the quadratic's middle. Profiles that are not of the wall round the
// tooth (a hollow) are left out; where they fill more than half of the window it is
// widened to twice its reach, and the taper is that of the wall beside the hollow.
func taper(m *prep.Margin, t *prep.Taper, azimuth float64) (tau, u float64, ok bool) {
	if tau, u, ok = taperWithin(m, t, azimuth, planeReach); ok {
		return tau, u, true
	}
	tau, u, ok = taperWithin(m, t, azimuth, 2*planeReach)
	return tau, 2 * u, ok
}

func taperWithin(m *prep.Margin, t *prep.Taper, azimuth, reachAngle float64) (tau, u float64, ok bool) {
	n := len(m.Walls)
	c := index(m, azimuth)
	reach := int(reachAngle / (2 * math.Pi) * float64(n))
	var xs, ys []float64
	var rho float64
	left, right := 0, 0
	for d := -reach; d <= reach; d++ {
		i := (c + d + n) % n
		w := &m.Walls[i]
		if !w.Found() || t.Outside[i] {
			continue
		}
		xs = append(xs, float64(d)/float64(reach))
		ys = append(ys, w.Taper())
		rho += w.A - w.B*m.Fan.Profiles[i].Z[w.To]
		if d < 0 {
			left++
		} else {
			right++
		}
	}
	if len(xs) < reach || min(left, right) < reach/4 { // half of the window, and both sides of it
		return 0, 0, false
	}
	co, rms, ok := quadratic(xs, ys)
	if !ok {
		return 0, 0, false
	}
	arc := rho / float64(len(xs)) * 2 * reachAngle
	independent := max(arc/max(m.Fan.Prep.Spacing, m.Fan.Step), 4)
	return co, 2 * 1.5 * rms / math.Sqrt(independent), true
}

// quadratic fits y over x in [-1, 1] robustly (one pass drops residuals beyond
// three deviations) and returns the value at 0 and the residual's deviation.
func quadratic(xs, ys []float64) (c0, rms float64, ok bool) {
	keep := make([]bool, len(xs))
	for i := range keep {
		keep[i] = true
	}
	var c [3]float64
	for pass := range 2 {
		var a [3][3]float64
		var b [3]float64
		for i, x := range xs {
			if !keep[i] {
				continue
			}
			r := [3]float64{1, x, x * x}
			for p := range 3 {
				for q := range 3 {
					a[p][q] += r[p] * r[q]
				}
				b[p] += r[p] * ys[i]
			}
		}
		if c, ok = num.Solve3(a, b); !ok {
			return 0, 0, false
		}
		res := make([]float64, 0, len(xs))
		for i, x := range xs {
			res = append(res, math.Abs(ys[i]-c[0]-x*(c[1]+x*c[2])))
		}
		scale := max(num.Median(res)/0.6745, 1e-6)
		if pass == 0 {
			for i := range keep {
				keep[i] = res[i] < 3*scale
			}
		}
		rms = scale
	}
	return c[0], rms, true
}

// meanConvergence is twice the area-weighted mean taper of the wall's own normals. In
// place of hollows and gaps, the share filled of the area, the wall counts as it stands
// round them.
func meanConvergence(m *prep.Margin, whole []prep.Facet, filled float64, tp *prep.Taper) measure.Value {
	var sum, w, ss float64
	count, seen := 0, 0
	for i := range whole {
		f := &whole[i]
		if !f.OK {
			continue
		}
		sum += f.Area * math.Asin(f.Normal.Z)
		w += f.Area
		count++
		if !tp.Outside[i] {
			ss += m.Walls[i].RMS
			seen++
		}
	}
	if seen < len(whole)/2 || count < len(whole)*3/4 {
		return measure.Not("less than half of the wall is to be seen")
	}
	// Noise of one line's slope over a wall of length l with n inliers is about
	// rms·√12/(l·√n); the mean over the independent ones divides it further.
	l := wallLength(m)
	perLine := ss / float64(seen) * math.Sqrt(12) / max(l, 0.5) / math.Sqrt(max(l/max(m.Fan.Prep.Spacing, m.Fan.Step), 2))
	independent := max(m.Length()/max(m.Fan.Prep.Spacing, m.Fan.Step), 8)
	u := 2*2*perLine/math.Sqrt(independent)/degree + straightU + 2*tp.Misfit/degree
	return measure.Of(2*sum/w/degree, u+filled*max(filledU, 6*tp.Misfit/degree), measure.Deg)
}

// filledU is the least uncertainty, in degrees, of the convergence of a wall that is
// taken from what stands round it.
const filledU = 1.0

func wallLength(m *prep.Margin) float64 {
	var l []float64
	for i := range m.Walls {
		if w := &m.Walls[i]; w.Found() {
			l = append(l, float64(w.Inliers)*m.Fan.Step)
		}
	}
	if len(l) == 0 {
		return 0
	}
	return num.Median(l)
}

func area(m *prep.Margin, facets []prep.Facet) measure.Value {
	var s float64
	seen := 0
	for i := range facets {
		if facets[i].OK {
			s += facets[i].Area
			seen++
		}
	}
	if seen < len(facets)*9/10 {
		return measure.Not("a tenth or more of the wall is not to be seen")
	}
	// The ends of the straight wall are known to about a sample and a mesh edge.
	return measure.Of(s, m.Length()*(m.Fan.Step+m.Fan.Prep.Spacing/2), measure.MM2)
}

// traced is the standard deviation, mm, of a margin point of a finish line that is to be
// seen: the mean distance from the true line is 0.017 mm at 10 µm noise and 0.1 mm spacing
// (doc/accuracy.md), and a stretch of it errs as one.
const traced = 0.025

// base is the extent of the margin across the axis in the buccolingual direction.
func base(m *prep.Margin) measure.Value {
	p := m.Fan.Prep
	b := p.Buccal.Reject(p.Axis).UnitOr(p.Buccal)
	lo, hi := math.Inf(1), math.Inf(-1)
	var ends [2]int
	for i, q := range m.Points {
		d := q.At.Dot(b)
		if d < lo {
			lo, ends[0] = d, i
		}
		if d > hi {
			hi, ends[1] = d, i
		}
	}
	for _, e := range ends {
		if !m.Points[e].Traced {
			return measure.Not("the margin is not to be seen on the buccal or lingual side")
		}
	}
	return measure.Of(hi-lo, 2*math.Sqrt2*math.Hypot(p.Noise, traced), measure.MM)
}

// ratio divides two lengths; relative uncertainties add in quadrature.
func ratio(h, b measure.Value) measure.Value {
	if !h.Measured() {
		return measure.Not(h.Why)
	}
	if !b.Measured() {
		return measure.Not(b.Why)
	}
	q := h.V / b.V
	return measure.Of(q, math.Abs(q)*math.Hypot(h.U/h.V, b.U/b.V), measure.One)
}

// place is the middle of the wall at an azimuth.
func place(m *prep.Margin, i int) measure.Place {
	w := &m.Walls[i]
	p := &m.Fan.Profiles[i]
	back := m.Fan.Prep.Frame().Inverse()
	s, c := math.Sincos(p.Azimuth)
	k := (w.From + w.To) / 2
	return measure.Place{
		At:     back.Point(r3.V(p.Rho[k]*c, p.Rho[k]*s, p.Z[k])),
		Normal: back.Dir(r3.V(c, s, w.B)).UnitOr(r3.Vec{}),
		Scan:   m.Fan.Prep.Scan,
	}
}
