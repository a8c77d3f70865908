package occlusion

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/bvh"
	"selvage/r3"
)

// What is worth asking for is the same as if all were measured: points before a rough
// arch, inside it to more than the worth, beside its end, and out of reach.
func TestMeasureBelowAgainstMeasure(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	arch := under(field(0, 0, 6, 0.15, func(x, y float64) float64 {
		return 4 + math.Sin(1.4*x)*math.Cos(1.1*y) + 0.01*rng.NormFloat64()
	}))
	g := newGauge(bvh.Build(arch), up)
	var pts []r3.Vec
	for range 4000 {
		pts = append(pts, r3.V(16*rng.Float64()-8, 16*rng.Float64()-8, 10*rng.Float64()))
	}
	const reach = 3.0
	want := g.measure(pts, reach)
	for _, worth := range []float64{-0.5, 0, 0.2, 1, 2.5, 3, math.Inf(1)} {
		below, deep := 0, 0
		for i, got := range g.measureBelow(pts, reach, worth) {
			if want[i].d < worth {
				below++
				if want[i].d < -max(worth, 0) {
					deep++
				}
				if got != want[i] {
					t.Fatalf("worth %v, %v: %+v, want %+v", worth, pts[i], got, want[i])
				}
			} else if got.d < worth {
				t.Fatalf("worth %v, %v: %v is less, want %v", worth, pts[i], got.d, want[i].d)
			}
		}
		if below == 0 || below == len(pts) || deep == 0 && worth < 2 {
			t.Errorf("worth %v: %d of %d points are below, %d inside to more: the test tests less than it says", worth, below, len(pts), deep)
		}
	}
}
