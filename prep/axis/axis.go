// Package axis finds the insertion axis of a preparation: the direction in which
// a crown can be lifted off with the most room on every side.
//
// The axis maximises the smallest angle between it and the wall. On raw normals
// that extreme follows noise and hollows, so the taper is first expressed round
// the tooth by its low harmonics,
//
//	τ(ν) = c0 + c1·cos ν + s1·sin ν + c2·cos 2ν + s2·sin 2ν,
//
// ν the direction of the wall's normal across the axis, fitted robustly. Tilting
// the axis by δ towards ψ adds δ·cos(ν-ψ): the first harmonic is the tilt. Where
// τ has no harmonic above the second, the axis of the largest smallest angle is
// the one whose first harmonic is zero, because the rest has half-turn symmetry.
package axis

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/prep"
	"selvage/r3"
)

// Result is the insertion axis and what it rests on.
type Result struct {
	Axis     r3.Vec  // unit, scan frame, root to crown
	U        float64 // expanded uncertainty (k = 2) of its direction, radians
	Cone     float64 // least taper of the fitted wall, radians: how far the axis may tilt
	ConeAt   float64 // azimuth of it
	Coverage float64 // share of azimuths with a wall
	OK       bool
	Why      string // where OK is false
}

// Limits of the search.
const (
	rounds        = 8
	leastCoverage = 0.55 // of the azimuths; less cannot tell tilt from shape
	tukey         = 4.685
)

// Find returns the insertion axis from the walls of a traced margin.
//
// Walls that leave the fit by more than Tukey's bound (a hollow, a dent, a box)
// do not count. Accuracy: see doc/accuracy.md. Cost: O(azimuths). Deterministic.
func Find(m *prep.Margin) Result {
	facets := m.Facets()
	used := 0
	for i := range facets {
		if facets[i].OK {
			used++
		}
	}
	cover := float64(used) / float64(len(facets))
	if cover < leastCoverage {
		return Result{Coverage: cover, Why: "too little of the wall is to be seen"}
	}
	a := r3.V(0, 0, 1)
	var h harmonics
	for range rounds {
		var ok bool
		if h, ok = fit(facets, a); !ok {
			return Result{Coverage: cover, Why: "the wall does not determine a direction"}
		}
		e1, e2 := frame(a)
		a = a.AddScaled(-h.c[1], e1).AddScaled(-h.c[2], e2).UnitOr(a)
	}
	back := m.Fan.Prep.Frame().Inverse()
	r := Result{Axis: back.Dir(a), Coverage: cover, OK: true}
	r.Cone, r.ConeAt = h.least()
	independent := max(m.Length()/max(m.Fan.Prep.Spacing, m.Fan.Step), 8)
	r.U = 2 * math.Sqrt(h.tilt2) * math.Sqrt(max(float64(used)/independent, 1))
	return r
}

// frame returns two axes across a that stay near the preparation's own x and y.
func frame(a r3.Vec) (e1, e2 r3.Vec) {
	e1 = r3.V(1, 0, 0).Reject(a).UnitOr(r3.V(1, 0, 0))
	return e1, a.Cross(e1)
}

// harmonics are the coefficients of the taper about one axis and the variance of
// the two tilts taken together.
type harmonics struct {
	c     [5]float64
	tilt2 float64
}

func (h *harmonics) at(nu float64) float64 {
	s1, c1 := math.Sincos(nu)
	s2, c2 := math.Sincos(2 * nu)
	return h.c[0] + h.c[1]*c1 + h.c[2]*s1 + h.c[3]*c2 + h.c[4]*s2
}

func (h *harmonics) least() (tau, nu float64) {
	tau = math.Inf(1)
	for k := range 360 {
		v := 2 * math.Pi * float64(k) / 360
		if t := h.at(v); t < tau {
			tau, nu = t, v
		}
	}
	return tau, nu
}

// fit expresses the taper about a by its harmonics, by weighted least squares
// with Tukey's weights, reweighted six times.
func fit(facets []prep.Facet, a r3.Vec) (harmonics, bool) {
	e1, e2 := frame(a)
	var rows [][5]float64
	var tau, weight []float64
	for i := range facets {
		f := &facets[i]
		if !f.OK {
			continue
		}
		nu := math.Atan2(f.Normal.Dot(e2), f.Normal.Dot(e1))
		s1, c1 := math.Sincos(nu)
		s2, c2 := math.Sincos(2 * nu)
		rows = append(rows, [5]float64{1, c1, s1, c2, s2})
		tau = append(tau, math.Asin(max(min(f.Normal.Dot(a), 1), -1)))
		weight = append(weight, f.Area)
	}
	h := harmonics{}
	robust := slices.Repeat([]float64{1}, len(tau))
	res := make([]float64, len(tau))
	for range 6 {
		var m [5][6]float64
		for i, r := range rows {
			w := weight[i] * robust[i]
			for p := range 5 {
				for q := range 5 {
					m[p][q] += w * r[p] * r[q]
				}
				m[p][5] += w * r[p] * tau[i]
			}
		}
		x, diag, ok := solve(m)
		if !ok {
			return h, false
		}
		h.c = x
		var ss, sw float64
		for i, r := range rows {
			e := tau[i]
			for p := range 5 {
				e -= h.c[p] * r[p]
			}
			res[i] = e
			w := robust[i]
			ss += w * e * e
			sw += w
		}
		h.tilt2 = ss / max(sw-5, 1) * (diag[1] + diag[2]) * num.Mean(weight)
		scale := spread(res)
		for i, e := range res {
			robust[i] = 0
			if u := e / (tukey * scale); math.Abs(u) < 1 {
				robust[i] = (1 - u*u) * (1 - u*u)
			}
		}
	}
	return h, true
}

// spread is the robust standard deviation of residuals about zero; a tenth of a
// degree at least, so that a perfect cone keeps all its facets.
func spread(res []float64) float64 {
	s := make([]float64, len(res))
	for i, e := range res {
		s[i] = math.Abs(e)
	}
	slices.Sort(s)
	return max(s[len(s)/2]/0.6745, 0.1*math.Pi/180)
}

// solve returns the solution of the five normal equations and the diagonal of the
// inverse. ok is false where the facets do not determine the harmonics.
func solve(m [5][6]float64) (x, diag [5]float64, ok bool) {
	l := make([]float64, 25)
	for p := range 5 {
		for q := range 5 {
			l[5*p+q] = m[p][q]
		}
		x[p] = m[p][5]
	}
	if !num.Cholesky(l, 5) {
		return x, diag, false
	}
	num.CholeskySolve(l, 5, x[:])
	for p := range 5 {
		var e [5]float64
		e[p] = 1
		num.CholeskySolve(l, 5, e[:])
		diag[p] = e[p]
	}
	return x, diag, true
}
