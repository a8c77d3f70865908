package prep

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/r3"
)

// Taper is the taper of a wall round the tooth about one axis, by its low harmonics
//
//	τ(ν) = C0 + C1·cos ν + C2·sin ν + C3·cos 2ν + C4·sin 2ν  (radians),
//
// ν the direction of the wall's normal across the axis.
type Taper struct {
	C       [5]float64
	Tilt2   float64 // variance of the first harmonic's two coefficients together
	Misfit  float64 // RMS of what the harmonics leave, averaged over twentieths of a turn, radians
	Outside []bool  // per facet: without a wall, or not of this wall (a hollow, a dent, a box)
}

// tukey is the bound of Tukey's biweight that keeps 95 % of the efficiency of least
// squares on normal residuals, in standard deviations.
const tukey = 4.685

// At returns the taper where the normal points to nu.
func (h *Taper) At(nu float64) float64 {
	s1, c1 := math.Sincos(nu)
	s2, c2 := math.Sincos(2 * nu)
	return h.C[0] + h.C[1]*c1 + h.C[2]*s1 + h.C[3]*c2 + h.C[4]*s2
}

// Least returns the least taper and the direction of its normal, to a degree.
func (h *Taper) Least() (tau, nu float64) {
	tau = math.Inf(1)
	for k := range 360 {
		v := 2 * math.Pi * float64(k) / 360
		if t := h.At(v); t < tau {
			tau, nu = t, v
		}
	}
	return tau, nu
}

// AxisFrame returns two unit vectors across a that stay near the preparation's own
// x and y; ν is counted from the first to the second.
func AxisFrame(a r3.Vec) (e1, e2 r3.Vec) {
	e1 = r3.V(1, 0, 0).Reject(a).UnitOr(r3.V(1, 0, 0))
	return e1, a.Cross(e1)
}

// FitTaper expresses the taper about a, in the preparation's frame, by weighted least
// squares with Tukey's weights, reweighted six times. ok is false where the facets do
// not determine it. Cost: O(facets).
func FitTaper(facets []Facet, a r3.Vec) (h Taper, ok bool) {
	e1, e2 := AxisFrame(a)
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
		x, diag, ok := solveFive(m)
		if !ok {
			return h, false
		}
		h.C = x
		var ss, sw float64
		for i, r := range rows {
			e := tau[i]
			for p := range 5 {
				e -= h.C[p] * r[p]
			}
			res[i] = e
			w := robust[i]
			ss += w * e * e
			sw += w
		}
		h.Tilt2 = ss / max(sw-5, 1) * (diag[1] + diag[2]) * num.Mean(weight)
		scale := taperSpread(res)
		for i, e := range res {
			robust[i] = 0
			if u := e / (tukey * scale); math.Abs(u) < 1 {
				robust[i] = (1 - u*u) * (1 - u*u)
			}
		}
	}
	h.Misfit = misfit(rows, res, robust)
	h.Outside = make([]bool, len(facets))
	k := 0
	for i := range facets {
		h.Outside[i] = !facets[i].OK || robust[k] == 0
		if facets[i].OK {
			k++
		}
	}
	return h, true
}

// misfit is the RMS, over sectors of a twentieth of a turn, of the mean residual in
// them: noise is averaged away there, what the shape has beyond the second harmonic
// is not.
func misfit(rows [][5]float64, res, robust []float64) float64 {
	const sectors = 20
	var sum, w [sectors]float64
	for i, r := range rows {
		if robust[i] == 0 {
			continue
		}
		nu := math.Atan2(r[2], r[1]) + math.Pi
		k := min(int(nu/(2*math.Pi)*sectors), sectors-1)
		sum[k] += res[i]
		w[k]++
	}
	var ss, n float64
	for k := range sectors {
		if w[k] > 0 {
			ss += sum[k] * sum[k] / (w[k] * w[k])
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(ss / n)
}

// taperSpread is the robust standard deviation of residuals about zero; a tenth of a
// degree at least, so that a perfect cone keeps all its facets.
func taperSpread(res []float64) float64 {
	s := make([]float64, len(res))
	for i, e := range res {
		s[i] = math.Abs(e)
	}
	slices.Sort(s)
	return max(s[len(s)/2]/0.6745, 0.1*math.Pi/180)
}

// solveFive returns the solution of the five normal equations and the diagonal of the
// inverse. ok is false where the facets do not determine the harmonics.
func solveFive(m [5][6]float64) (x, diag [5]float64, ok bool) {
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
