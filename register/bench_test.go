package register_test

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/r3"
	"selvage/register"
)

func BenchmarkAlign(b *testing.B) {
	r := rng(b, 30)
	dst := bvh.Build(scanOfShape(r, teeth, [2]float64{-30, -7}, [2]float64{30, 7}, 0.1, 0.010))
	pts, nrm := points(scanOfShape(r, teeth, [2]float64{-30, -7}, [2]float64{30, 7}, 0.1, 0.010), 3000)
	start := motion(r, math.Pi/180, 0.3)
	for b.Loop() {
		if _, err := register.Align(pts, nrm, dst, start, register.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFirstAlign counts what a new destination costs: its tree and its normals.
func BenchmarkFirstAlign(b *testing.B) {
	r := rng(b, 31)
	dst := scanOfShape(r, teeth, [2]float64{-30, -7}, [2]float64{30, 7}, 0.1, 0.010)
	pts, nrm := points(dst, 3000)
	for b.Loop() {
		if _, err := register.Align(pts, nrm, bvh.Build(dst), r3.Still(), register.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCoarse(b *testing.B) {
	r := rng(b, 25)
	dst := scanOfShape(r, teeth, [2]float64{-30, -7}, [2]float64{30, 7}, 0.1, 0.010)
	src := scanOfShape(r, teeth, [2]float64{-4, -7}, [2]float64{20, 7}, 0.1, 0.010).Moved(motion(r, 3, 50))
	for b.Loop() {
		register.Coarse(src, dst)
	}
}
