package surface

import "math"

// angleSteps is the number of steps of the table of arc tangents from 0 to 1.
const angleSteps = 64

var arcs = func() (a [angleSteps + 1]float64) {
	for k := range a {
		a[k] = math.Atan(float64(k) / angleSteps)
	}
	return a
}()

// angleOf returns atan2(s, c) for s ≥ 0, within 3·10⁻¹⁶.
//
// The angles at every corner of a scan are a third of what its normals cost, and
// math.Atan2 divides three times for each, one after the other. Here the tangent is
// turned back by the nearest angle of a table,
//
//	tan(α - αₖ) = (s - c·tₖ)/(c + s·tₖ),  tₖ = k/64,
//
// and of what is left, under 1/128, five terms of the series are enough.
func angleOf(s, c float64) float64 {
	far := math.Abs(c)
	low, high := min(s, far), max(s, far)
	if !(high > 0) || math.IsInf(high, 1) {
		return math.Atan2(s, c)
	}
	k := int(float32(low)/float32(high)*angleSteps + 0.5)
	if k < 0 || k > angleSteps { // single precision has left its range
		return math.Atan2(s, c)
	}
	t := float64(k) * (1.0 / angleSteps)
	u := (low - float64(high*t)) / (high + float64(low*t))
	v := float64(u * u)
	a := arcs[k] + float64(u*(1-float64(v*(1.0/3-float64(v*(1.0/5-float64(v*(1.0/7-float64(v*(1.0/9))))))))))
	if s > far {
		a = math.Pi/2 - a
	}
	if c < 0 {
		a = math.Pi - a
	}
	return a
}
