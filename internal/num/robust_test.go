package num_test

import (
	"math"
	"sort"
	"testing"

	"selvage/internal/num"
)

func TestQuantileByDefinition(t *testing.T) {
	x := []float64{5, 1, 4, 2, 3}
	for _, c := range []struct{ q, want float64 }{{0, 1}, {0.5, 3}, {1, 5}, {0.25, 2}, {0.1, 1.4}, {-1, 1}, {2, 5}} {
		if got := num.Quantile(x, c.q); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("quantile %g of %v = %g, want %g", c.q, x, got, c.want)
		}
	}
	if x[0] != 5 {
		t.Error("the data were reordered")
	}
	if !math.IsNaN(num.Median(nil)) || !math.IsNaN(num.Mean(nil)) || !math.IsNaN(num.RMS(nil)) {
		t.Error("no data have a median, mean or RMS")
	}
	if m := num.Median([]float64{1, 2}); m != 1.5 {
		t.Errorf("median of 1 and 2 = %g", m)
	}
}

// TestRobustOnGauss: MADSigma turns the MAD of gaussian data into its sigma, and a fifth
// of outliers moves it by under 40 %, the standard deviation by a factor of hundreds.
func TestRobustOnGauss(t *testing.T) {
	r := rng(20)
	x := make([]float64, 20001)
	for i := range x {
		x[i] = 7 + 0.3*r.NormFloat64()
	}
	med, mad := num.MAD(x)
	if math.Abs(med-7) > 0.01 || math.Abs(num.MADSigma*mad/0.3-1) > 0.03 {
		t.Errorf("seed %d: median %g, sigma %g, want 7 and 0.3", *seedFlag, med, num.MADSigma*mad)
	}
	for i := range len(x) / 5 {
		x[i] = 1000
	}
	if _, mad = num.MAD(x); num.MADSigma*mad > 0.42 {
		t.Errorf("with a fifth of outliers sigma = %g", num.MADSigma*mad)
	}
}

func TestTukey(t *testing.T) {
	if num.Tukey(0) != 1 || num.Tukey(1) != 0 || num.Tukey(-3) != 0 || num.Tukey(math.NaN()) != 0 || num.Tukey(math.Inf(1)) != 0 {
		t.Error("the biweight is 1 at 0 and 0 from 1 on")
	}
	for u := 0.0; u < 1; u += 0.01 {
		if num.Tukey(u) != num.Tukey(-u) || num.Tukey(u+0.01) >= num.Tukey(u) {
			t.Fatalf("the biweight at %g is not even or does not fall", u)
		}
	}
}

func TestCircularMean(t *testing.T) {
	near := math.Pi - 0.1
	if m, a := num.CircularMean([]float64{near, -near}); math.Abs(math.Abs(m)-math.Pi) > 1e-12 || a < 0.99 {
		t.Errorf("mean of ±(π-0.1) = %g, agreement %g; want π, about 1", m, a)
	}
	if _, a := num.CircularMean([]float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}); a > 1e-15 {
		t.Errorf("four opposed directions agree by %g", a)
	}
	if _, a := num.CircularMean(nil); a != 0 {
		t.Errorf("no directions agree by %g", a)
	}
}

// TestChiSquareShare against the empirical quantiles of sums of squares.
func TestChiSquareShare(t *testing.T) {
	r := rng(21)
	for _, nu := range []int{1, 2, 5, 20} {
		s := make([]float64, 40000)
		for i := range s {
			for range nu {
				z := r.NormFloat64()
				s[i] += z * z
			}
			s[i] /= float64(nu)
		}
		sort.Float64s(s)
		for _, p := range []float64{0.3, 0.5, 0.8, 0.95} {
			if nu == 1 && p < 0.5 {
				continue
			}
			got, want := num.ChiSquareShare(p, float64(nu)), num.QuantileSorted(s, p)
			// 40 000 draws know a quantile to 3 % or better; the formula adds 4 at ν = 1.
			if math.Abs(got/want-1) > 0.08 {
				t.Errorf("seed %d: χ² of %d, %g-quantile over ν = %.4f, drawn %.4f", *seedFlag, nu, p, got, want)
			}
		}
	}
	for _, c := range []struct{ p, want float64 }{{0.975, 1.959964}, {0.5, 0}, {0.05, -1.644854}} {
		if got := num.NormalQuantile(c.p); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("normal quantile %g = %g, want %g", c.p, got, c.want)
		}
	}
}
