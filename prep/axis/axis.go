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
	// worstU is the uncertainty beyond which no axis is given. An undercut and a
	// resistance about an axis that is off by more are invented: an incisor without a
	// lingual wall once showed 0.1 mm of undercut that it had not.
	worstU = 1.5 * math.Pi / 180
	// straightU is the error of the axis that is left on phantoms without noise whose
	// wall has a third harmonic, as a canine's (k = 2).
	straightU = 0.1 * math.Pi / 180
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
	var h prep.Taper
	for range rounds {
		var ok bool
		if h, ok = prep.FitTaper(facets, a); !ok {
			return Result{Coverage: cover, Why: "the wall does not determine a direction"}
		}
		e1, e2 := prep.AxisFrame(a)
		a = a.AddScaled(-h.C[1], e1).AddScaled(-h.C[2], e2).UnitOr(a)
	}
	back := m.Fan.Prep.Frame().Inverse()
	r := Result{Axis: back.Dir(a), Coverage: cover, OK: true}
	r.Cone, r.ConeAt = h.Least()
	independent := max(m.Length()/max(m.Fan.Prep.Spacing, m.Fan.Step), 8)
	noise := 2 * math.Sqrt(h.Tilt2) * math.Sqrt(max(float64(used)/independent, 1))
	// A misfit of s in each of 20 independent sectors moves the two coefficients of the
	// first harmonic by s·√(2/20) each, k = 2: 0.9 s together.
	// What the lines keep of the rounded ends of the walls stays even where all agree.
	r.U = math.Hypot(math.Hypot(noise, 0.9*h.Misfit), straightU)
	if r.U > worstU {
		return Result{Coverage: cover, Why: "the walls do not agree on one direction: one of them may be missing or curved"}
	}
	return r
}
