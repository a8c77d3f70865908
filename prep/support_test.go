package prep

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// plainSupport is support in three whole rounds.
func plainSupport(p *Profile, a, b, end int, tol float64, steep []bool) WallLine {
	w := fitLine(p, a, b, nil)
	for range 3 {
		f, t := reach(p, w, (a+b)/2, end, tol, steep)
		trim := min(int(trimMost/FanStep), int(trimShare*float64(t-f)))
		in, fit := make([]bool, t-f+1), make([]bool, t-f+1)
		count := 0
		for i := range in {
			k := f + i
			in[i] = steep[k] && !p.Gap[k] && math.Abs(p.Rho[k]-w.At(p.Z[k])) <= tol
			fit[i] = in[i] && i >= trim && t-k >= trim
			if in[i] {
				count++
			}
		}
		w = fitLine(p, f, t+1, fit)
		w.From, w.To, w.Inlier, w.Inliers = f, t, in, count
	}
	return w
}

// A support that ends where nothing alters any more is the one of three whole rounds, bit
// by bit.
func TestSupportAgainstThreeRounds(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 6))
	for trial := range 300 {
		n := 120 + rng.IntN(60)
		p := Profile{Rho: make([]float64, n), Z: make([]float64, n), Gap: make([]bool, n)}
		steep := make([]bool, n)
		rho := 3.0
		for i := range n {
			lean := 0.15
			if i > n/2 && trial%3 == 0 {
				lean = 0.4 // two planes
			}
			rho += lean * FanStep
			p.Rho[i], p.Z[i] = rho+0.012*rng.NormFloat64(), 5-FanStep*float64(i)
			steep[i], p.Gap[i] = rng.IntN(15) > 0, rng.IntN(25) == 0
		}
		a := rng.IntN(n / 2)
		got, want := support(&p, a, a+20, n, 0.02, steep), plainSupport(&p, a, a+20, n, 0.02, steep)
		if !slices.Equal(got.Inlier, want.Inlier) {
			t.Fatalf("trial %d: other inliers", trial)
		}
		got.Inlier, want.Inlier = nil, nil
		if got.A != want.A || got.B != want.B || got.RMS != want.RMS || got.From != want.From || got.To != want.To || got.Inliers != want.Inliers {
			t.Fatalf("trial %d: %+v, want %+v", trial, got, want)
		}
	}
}
