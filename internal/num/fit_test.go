package num_test

import (
	"math"
	"testing"

	"selvage/internal/num"
)

// TestLeastSquaresLaws: an exact right side is met, and any residual is square to the
// columns.
func TestLeastSquaresLaws(t *testing.T) {
	r := rng(10)
	for range 200 {
		n := 1 + r.IntN(8)
		m := n + r.IntN(30)
		a := make([]float64, m*n)
		for i := range a {
			a[i] = r.NormFloat64() * math.Pow(10, float64(i%n)) // columns of different size
		}
		want, b, exact := make([]float64, n), make([]float64, m), make([]float64, m)
		for i := range want {
			want[i] = r.NormFloat64()
		}
		for i := range m {
			for k := range n {
				exact[i] += a[i*n+k] * want[k]
			}
			b[i] = r.NormFloat64()
		}
		x, ok := num.LeastSquares(append([]float64{}, a...), append([]float64{}, exact...), n)
		if !ok {
			t.Fatalf("%d by %d: called dependent", m, n)
		}
		for k := range x {
			if m > n+3 && math.Abs(x[k]-want[k]) > 1e-8 {
				t.Fatalf("%d by %d: %v, want %v", m, n, x, want)
			}
		}
		x, _ = num.LeastSquares(append([]float64{}, a...), append([]float64{}, b...), n)
		for k := range n {
			s, size := 0.0, 0.0
			for i := range m {
				res := b[i]
				for j := range n {
					res -= a[i*n+j] * x[j]
				}
				s, size = s+res*a[i*n+k], size+a[i*n+k]*a[i*n+k]
			}
			if m > n && math.Abs(s) > 1e-9*math.Sqrt(size)*math.Sqrt(float64(m)) {
				t.Fatalf("%d by %d: the residual has %g of column %d", m, n, s, k)
			}
		}
	}
}

func TestLeastSquaresSaysWhatItCannot(t *testing.T) {
	if x, ok := num.LeastSquares([]float64{1, 2}, []float64{1}, 2); ok {
		t.Errorf("one row for two unknowns: %v", x)
	}
	if x, ok := num.LeastSquares([]float64{1, 2, 2, 4, 3, 6}, []float64{1, 2, 3}, 2); ok {
		t.Errorf("twice the same column: %v", x)
	}
	if x, ok := num.LeastSquares([]float64{0, 0}, []float64{1, 2}, 1); ok {
		t.Errorf("a column of zeros: %v", x)
	}
	if x, ok := num.LeastSquares([]float64{math.NaN(), 1}, []float64{1, 2}, 1); ok {
		t.Errorf("not a number: %v", x)
	}
}

// TestHarmonicIsFound exactly, and by the robust fit with a hollow over 40° or a fifth of
// the values strewn about.
func TestHarmonicIsFound(t *testing.T) {
	r := rng(11)
	truth := num.Harmonic{Mean: 4, Cos: []float64{0.5, -0.2, 0.1}, Sin: []float64{-0.3, 0.4, 0.05}}
	const n, sigma = 360, 0.02
	phi, f := make([]float64, n), make([]float64, n)
	for i := range phi {
		phi[i] = 2*math.Pi*r.Float64() - math.Pi // any turn will do
		f[i] = truth.At(phi[i])
	}
	h, ok := num.FitHarmonic(phi, f, nil, 3)
	for _, p := range phi {
		if !ok || math.Abs(h.At(p)-truth.At(p)) > 1e-12 {
			t.Fatalf("exact values: %+v, want %+v", h, truth)
		}
		const d = 1e-6
		if slope := (h.At(p+d) - h.At(p-d)) / (2 * d); math.Abs(slope-h.Slope(p)) > 1e-8 {
			t.Fatalf("slope at %g = %g, difference quotient %g", p, h.Slope(p), slope)
		}
	}
	strewn := make([]float64, n)
	for i := range f {
		f[i] += sigma * r.NormFloat64()
		strewn[i] = f[i]
		if i%5 == 0 {
			strewn[i] += 3 * r.Float64()
		}
		if s := math.Mod(phi[i]+10, 2*math.Pi); s > 1 && s < 1+2*math.Pi/9 {
			f[i] -= 1.5 // a hollow over 40°
		}
	}
	h, _, ok = num.FitHarmonicRobust(phi, strewn, 3)
	worst := 0.0
	for _, p := range phi {
		worst = max(worst, math.Abs(h.At(p)-truth.At(p)))
	}
	if !ok || worst > 4*sigma*math.Sqrt(7.0/288) {
		t.Errorf("seed %d: with a fifth strewn about off by up to %.4f, want %.4f", *seedFlag, worst, 4*sigma*math.Sqrt(7.0/288))
	}
	h, left, ok := num.FitHarmonicRobust(phi, f, 3)
	worst = 0
	for i, p := range phi {
		worst = max(worst, math.Abs(h.At(p)-truth.At(p)))
		if s := math.Mod(p+10, 2*math.Pi); s > 1 && s < 1+2*math.Pi/9 && left[i] > 0 {
			t.Errorf("a value in the hollow, at %.3f, has weight %g", s, left[i])
		}
	}
	// Bridging the hollow, the error is several times σ√(7/288).
	if !ok || worst > 5*sigma*math.Sqrt(7.0/288) {
		t.Errorf("seed %d: with a hollow off by up to %.4f, want %.4f", *seedFlag, worst, 5*sigma*math.Sqrt(7.0/288))
	}
}

func TestHarmonicSaysWhatItCannot(t *testing.T) {
	if h, ok := num.FitHarmonic([]float64{0, 1, 2, 3}, []float64{1, 1, 1, 1}, nil, 2); ok {
		t.Errorf("four values hold five coefficients: %+v", h)
	}
	if h, ok := num.FitHarmonic([]float64{1, 1, 1, 1 + 2*math.Pi}, []float64{1, 2, 3, 4}, nil, 1); ok {
		t.Errorf("values in one place hold three coefficients: %+v", h)
	}
	if h, _, ok := num.FitHarmonicRobust(nil, nil, 1); ok {
		t.Errorf("no values: %+v", h)
	}
	if h, ok := num.FitHarmonic([]float64{0, 1, 2, 3}, []float64{1, 1, 9, 1}, []float64{1, 1, 0, 1}, 0); !ok || h.Mean != 1 {
		t.Errorf("weight zero did not leave a value out: %+v", h)
	}
}

// TestCircleIsFound: exact points exactly; noise as the formula of the comment says.
func TestCircleIsFound(t *testing.T) {
	r := rng(12)
	for _, arc := range []float64{0.3, 1, math.Pi, 2 * math.Pi} {
		const n = 200
		x, y := make([]float64, n), make([]float64, n)
		at := func(sigma float64) {
			for i := range x {
				s, c := math.Sincos(1 + arc*float64(i)/n)
				d := 2 + sigma*r.NormFloat64()
				x[i], y[i] = 100+d*c, -7+d*s
			}
		}
		at(0)
		c, rms, ok := num.FitCircle(x, y)
		if !ok || math.Abs(c.R-2) > 1e-8 || math.Hypot(c.X-100, c.Y+7) > 1e-8 || rms > 1e-9 {
			t.Fatalf("arc %.1f: %+v, rms %g, %v", arc, c, rms, ok)
		}
		if arc > 1 {
			continue
		}
		const sigma = 1e-5
		sum2 := 0.0
		for range 100 {
			at(sigma)
			c, _, _ = num.FitCircle(x, y)
			sum2 += (c.R - 2) * (c.R - 2)
		}
		want := sigma * 27 / (arc * arc * math.Sqrt(n))
		if got := math.Sqrt(sum2 / 100); got < 0.75*want || got > 1.3*want {
			t.Errorf("seed %d: arc %.1f: the radius is off by %.2g, the formula says %.2g", *seedFlag, arc, got, want)
		}
	}
	if c, _, ok := num.FitCircle([]float64{0, 1, 2, 3}, []float64{0, 1, 2, 3}); ok {
		t.Errorf("points in line: %+v", c)
	}
	if c, _, ok := num.FitCircle([]float64{0, 1}, []float64{0, 5}); ok {
		t.Errorf("two points: %+v", c)
	}
}
