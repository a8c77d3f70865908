package num

import "math"

// Harmonic is a smooth function of an azimuth φ in radians,
//
//	f(φ) = Mean + Σ Cos[m-1]·cos(mφ) + Sin[m-1]·sin(mφ),   m = 1 … order.
type Harmonic struct {
	Mean     float64
	Cos, Sin []float64
}

// At returns f(φ).
func (h Harmonic) At(phi float64) float64 {
	f := h.Mean
	for m := range h.Cos {
		s, c := math.Sincos(float64(m+1) * phi)
		f += float64(h.Cos[m]*c) + float64(h.Sin[m]*s)
	}
	return f
}

// Slope returns df/dφ.
func (h Harmonic) Slope(phi float64) float64 {
	f := 0.0
	for m := range h.Cos {
		k := float64(m + 1)
		s, c := math.Sincos(k * phi)
		f += k * (float64(h.Sin[m]*c) - float64(h.Cos[m]*s))
	}
	return f
}

// FitHarmonic returns the harmonic of the given order that fits the values f at the
// azimuths phi in the least squares of weight w (nil: all alike; zero leaves a value
// out). ok is false where the azimuths do not hold the 2·order+1 coefficients: too few,
// or all in one place. Gaps are bridged by whatever the waves do there; do not trust one
// wider than π/order. Cost: O(n·order²).
func FitHarmonic(phi, f, w []float64, order int) (h Harmonic, ok bool) {
	n := 2*order + 1
	a := make([]float64, 0, len(phi)*n)
	b := make([]float64, 0, len(phi))
	for i, p := range phi {
		r := 1.0
		if w != nil {
			if w[i] <= 0 {
				continue
			}
			r = math.Sqrt(w[i])
		}
		a, b = append(a, r), append(b, r*f[i])
		for m := 1; m <= order; m++ {
			s, c := math.Sincos(float64(m) * p)
			a = append(a, r*c, r*s)
		}
	}
	x, ok := LeastSquares(a, b, n)
	if !ok {
		return h, false
	}
	h = Harmonic{Mean: x[0], Cos: make([]float64, order), Sin: make([]float64, order)}
	for m := range order {
		h.Cos[m], h.Sin[m] = x[2*m+1], x[2*m+2]
	}
	return h, true
}

const (
	// robustRounds bounds the reweighting of [FitHarmonicRobust].
	robustRounds = 20

	// arcStarts is the number of places at which an arc is left out for a start.
	arcStarts = 24
)

// FitHarmonicRobust is [FitHarmonic] with Tukey's biweight: values more than 4.685 robust
// standard deviations off the curve have no say. left has the weight, 0 to 1, that each
// value ended with.
//
// One piece of the circle of up to 2π/(3·order), and about a fifth of the values here and
// there, may be wrong. (Into a wider piece the waves themselves can dive, and no method
// knows better.) To find such a piece it starts from the best of the curves through all
// values and through those outside one arc, at 24 places and of two widths.
// Cost: some 70 fits.
func FitHarmonicRobust(phi, f []float64, order int) (h Harmonic, left []float64, ok bool) {
	if h, ok = robustStart(phi, f, order); !ok {
		return h, nil, false
	}
	left = make([]float64, len(f))
	for range robustRounds {
		scale := MADSigma * Median(misses(h, phi, f))
		for i, r := range misses(h, phi, f) {
			left[i] = 0
			if scale > 0 {
				left[i] = Tukey(r / (TukeyCut * scale))
			} else if r == 0 { // more than half lie on the curve exactly
				left[i] = 1
			}
		}
		next, fits := FitHarmonic(phi, f, left, order)
		if !fits {
			break
		}
		h = next
	}
	return h, left, true
}

// misses returns how far the values lie from h.
func misses(h Harmonic, phi, f []float64) []float64 {
	r := make([]float64, len(f))
	for i, p := range phi {
		r[i] = math.Abs(f[i] - h.At(p))
	}
	return r
}

// robustStart returns the curve of least biweight loss among those of
// [FitHarmonicRobust], the scale being the least that any of them reaches.
func robustStart(phi, f []float64, order int) (best Harmonic, ok bool) {
	var starts []Harmonic
	scale := math.Inf(1)
	w := make([]float64, len(f))
	try := func(at, width float64) {
		for i, p := range phi {
			w[i] = 1
			if turn := math.Mod(p-at, 2*math.Pi); turn >= 0 && turn < width || turn+2*math.Pi < width {
				w[i] = 0
			}
		}
		if h, fits := FitHarmonic(phi, f, w, order); fits {
			starts = append(starts, h)
			scale = min(scale, MADSigma*Median(misses(h, phi, f)))
		}
	}
	try(0, 0)
	for _, width := range [2]float64{0.6, 1.1} {
		for k := range arcStarts {
			try(2*math.Pi*float64(k)/arcStarts, width*2*math.Pi/float64(3*max(order, 1)))
		}
	}
	least := math.Inf(1)
	for _, h := range starts {
		loss := 0.0
		for _, r := range misses(h, phi, f) {
			u := min(r/max(TukeyCut*scale, math.SmallestNonzeroFloat64), 1)
			q := 1 - u*u
			loss += 1 - q*q*q
		}
		if loss < least {
			best, least = h, loss
		}
	}
	return best, len(starts) > 0
}
