package num_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/internal/num"
)

var seedFlag = flag.Uint64("seed", 1, "seed of the generated problems")

func rng(salt uint64) *rand.Rand { return rand.New(rand.NewPCG(*seedFlag, salt)) }

// symmetric6 is a random symmetric matrix of a size between 1e-6 and 1e6, of full rank or
// not.
func symmetric6(r *rand.Rand) (a [6][6]float64) {
	size := math.Pow(10, 12*r.Float64()-6)
	for range 1 + r.IntN(8) {
		var v [6]float64
		for i := range v {
			v[i] = r.NormFloat64()
		}
		s := size * r.NormFloat64()
		for i := range 6 {
			for j := range 6 {
				a[i][j] += s * v[i] * v[j]
			}
		}
	}
	return a
}

// TestEigen6Laws: A·v = λ·v, vectors orthonormal, values falling, trace kept.
func TestEigen6Laws(t *testing.T) {
	r := rng(1)
	for range 300 {
		a := symmetric6(r)
		val, vec := num.Eigen6(a)
		norm, trace, sum := 0.0, 0.0, 0.0
		for i := range 6 {
			trace, sum = trace+a[i][i], sum+val[i]
			for j := range 6 {
				norm = max(norm, math.Abs(a[i][j]))
			}
		}
		tol := 1e-13 * norm * 6
		if math.Abs(trace-sum) > tol {
			t.Fatalf("trace %g, sum of eigenvalues %g", trace, sum)
		}
		for k := range 6 {
			if k > 0 && val[k] > val[k-1] {
				t.Fatalf("eigenvalues do not fall: %v", val)
			}
			for i := range 6 {
				av, dot := 0.0, 0.0
				for j := range 6 {
					av += a[i][j] * vec[k][j]
					dot += vec[k][j] * vec[i][j]
				}
				if math.Abs(av-val[k]*vec[k][i]) > tol {
					t.Fatalf("A·v = %g, λ·v = %g (size %g)", av, val[k]*vec[k][i], norm)
				}
				if want := map[bool]float64{true: 1}[i == k]; math.Abs(dot-want) > 1e-13 {
					t.Fatalf("v%d·v%d = %g", k, i, dot)
				}
			}
		}
	}
}

func TestEigen3OfKnownMatrices(t *testing.T) {
	for _, c := range []struct {
		a    [3][3]float64
		want [3]float64
	}{
		{[3][3]float64{{2, 0, 0}, {0, 3, 0}, {0, 0, -1}}, [3]float64{3, 2, -1}},
		{[3][3]float64{{2, 1, 0}, {1, 2, 0}, {0, 0, 2}}, [3]float64{3, 2, 1}},
		{[3][3]float64{}, [3]float64{}},
		{[3][3]float64{{1, 1, 1}, {1, 1, 1}, {1, 1, 1}}, [3]float64{3, 0, 0}},
		{[3][3]float64{{1e-300, 0, 0}, {0, 1e-300, 0}, {0, 0, 1e-300}}, [3]float64{1e-300, 1e-300, 1e-300}},
	} {
		val, _ := num.Eigen3(c.a)
		for i := range val {
			if math.Abs(val[i]-c.want[i]) > 1e-15*(1+math.Abs(c.want[0])) {
				t.Errorf("eigenvalues of %v = %v, want %v", c.a, val, c.want)
			}
		}
	}
	// The lower triangle is not read.
	a, _ := num.Eigen3([3][3]float64{{2, 1, 0}, {99, 2, 0}, {99, 99, 2}})
	if math.Abs(a[0]-3) > 1e-14 {
		t.Errorf("the lower triangle was read: %v", a)
	}
}

func TestSolveAndInverse(t *testing.T) {
	r := rng(2)
	for range 300 {
		var a [6][6]float64
		for range 20 {
			var v [6]float64
			for i := range v {
				v[i] = r.NormFloat64()
			}
			for i := range 6 {
				for j := range 6 {
					a[i][j] += v[i] * v[j]
				}
			}
		}
		var want, b [6]float64
		for i := range want {
			want[i] = r.NormFloat64()
		}
		for i := range 6 {
			for j := range 6 {
				b[i] += a[i][j] * want[j]
			}
		}
		got, ok := num.Solve6(a, b)
		inv, ok2 := num.Inverse6(a)
		if !ok || !ok2 {
			t.Fatalf("a positive definite matrix is called singular")
		}
		for i := range 6 {
			if math.Abs(got[i]-want[i]) > 1e-9 {
				t.Fatalf("solution %v, want %v", got, want)
			}
			for j := range 6 {
				p := 0.0
				for k := range 6 {
					p += a[i][k] * inv[k][j]
				}
				if unit := map[bool]float64{true: 1}[i == j]; math.Abs(p-unit) > 1e-9 {
					t.Fatalf("A·A⁻¹[%d][%d] = %g", i, j, p)
				}
				if inv[i][j] != inv[j][i] {
					t.Fatalf("the inverse is not symmetric")
				}
			}
		}
	}
}

func TestSingularIsSaid(t *testing.T) {
	nan := math.NaN()
	for name, a := range map[string][3][3]float64{
		"zero": {}, "rank 2": {{1, 0, 0}, {0, 1, 0}, {0, 0, 0}}, "rank 1": {{1, 2, 3}, {2, 4, 6}, {3, 6, 9}},
		"negative": {{-1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, "not a number": {{nan, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"infinite": {{math.Inf(1), 0, 0}, {0, 1, 0}, {0, 0, 1}},
	} {
		if x, ok := num.Solve3(a, [3]float64{1, 1, 1}); ok {
			t.Errorf("%s: solved to %v", name, x)
		}
	}
	if x, ok := num.Solve3([3][3]float64{{1e-200, 0, 0}, {0, 1, 0}, {0, 0, 1e200}}, [3]float64{1e-200, 1, 1e200}); !ok || x != [3]float64{1, 1, 1} {
		t.Errorf("rows of very different size: %v %v", x, ok)
	}
}
