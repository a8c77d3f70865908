package num

import (
	"math"
	"slices"
)

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
	return newWaves(phi, order).fit(f, w)
}

// waves are the cosines and sines of the multiples of some azimuths: they are most of what
// a fit costs, and fits to the same azimuths are made by the dozen.
type waves struct {
	order int
	cs    []float64 // of each azimuth cos φ, sin φ, cos 2φ, sin 2φ …
	n     int       // azimuths
	a, b  []float64 // room for one fit
}

func newWaves(phi []float64, order int) *waves {
	n := len(phi)
	t := &waves{
		order: order, n: n, cs: make([]float64, 0, 2*order*n),
		a: make([]float64, 0, (2*order+1)*n), b: make([]float64, 0, n),
	}
	for _, p := range phi {
		for m := 1; m <= order; m++ {
			s, c := math.Sincos(float64(m) * p)
			t.cs = append(t.cs, c, s)
		}
	}
	return t
}

// at returns the row of azimuth i.
func (t *waves) at(i int) []float64 { return t.cs[2*t.order*i : 2*t.order*(i+1)] }

// fit is [FitHarmonic] at the azimuths.
func (t *waves) fit(f, w []float64) (h Harmonic, ok bool) {
	order, n := t.order, 2*t.order+1
	a, b := t.a[:0], t.b[:0]
	for i := range t.n {
		r := 1.0
		if w != nil {
			if w[i] <= 0 {
				continue
			}
			r = math.Sqrt(w[i])
		}
		a, b = append(a, r), append(b, r*f[i])
		for _, x := range t.at(i) {
			a = append(a, r*x)
		}
	}
	t.a, t.b = a, b
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
	t := newWaves(phi, order)
	if h, ok = t.robustStart(phi, f); !ok {
		return h, nil, false
	}
	left = make([]float64, len(f))
	var off, room []float64
	for range robustRounds {
		off = t.misses(off, h, f)
		scale := MADSigma * medianIn(&room, off)
		for i, r := range off {
			left[i] = 0
			if scale > 0 {
				left[i] = Tukey(r / (TukeyCut * scale))
			} else if r == 0 { // more than half lie on the curve exactly
				left[i] = 1
			}
		}
		next, fits := t.fit(f, left)
		if !fits {
			break
		}
		still := next.equal(h)
		h = next
		if still { // and will be
			break
		}
	}
	return h, left, true
}

// equal reports whether two curves are the same number for number.
func (h Harmonic) equal(o Harmonic) bool {
	return h.Mean == o.Mean && slices.Equal(h.Cos, o.Cos) && slices.Equal(h.Sin, o.Sin)
}

// misses returns, in the room given, how far the values lie from h.
func (t *waves) misses(room []float64, h Harmonic, f []float64) []float64 {
	r := room[:0]
	for i := range t.n {
		at, row := h.Mean, t.at(i) // as in Harmonic.At
		for m := range h.Cos {
			at += float64(h.Cos[m]*row[2*m]) + float64(h.Sin[m]*row[2*m+1])
		}
		r = append(r, math.Abs(f[i]-at))
	}
	return r
}

// medianIn is [Median] with room for the copy.
func medianIn(room *[]float64, x []float64) float64 {
	*room = append((*room)[:0], x...)
	partition(*room, 0.5)
	return QuantileSorted(*room, 0.5)
}

// robustStart returns the curve of least biweight loss among those of
// [FitHarmonicRobust], the scale being the least that any of them reaches.
func (t *waves) robustStart(phi, f []float64) (best Harmonic, ok bool) {
	var starts []Harmonic
	var off [][]float64 // of each of them
	var room []float64
	scale := math.Inf(1)
	w := make([]float64, len(f))
	try := func(at, width float64) {
		for i, p := range phi {
			w[i] = 1
			if turn := math.Mod(p-at, 2*math.Pi); turn >= 0 && turn < width || turn+2*math.Pi < width {
				w[i] = 0
			}
		}
		if h, fits := t.fit(f, w); fits {
			r := t.misses(nil, h, f)
			starts, off = append(starts, h), append(off, r)
			scale = min(scale, MADSigma*medianIn(&room, r))
		}
	}
	try(0, 0)
	for _, width := range [2]float64{0.6, 1.1} {
		for k := range arcStarts {
			try(2*math.Pi*float64(k)/arcStarts, width*2*math.Pi/float64(3*max(t.order, 1)))
		}
	}
	least := math.Inf(1)
	for k, h := range starts {
		loss := 0.0
		for _, r := range off[k] {
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
