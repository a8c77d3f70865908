package register

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// wavy is a noisy sheet of 0.1 mm spacing over a square of the given side, mm.
func wavy(side float64, seed uint64) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 9))
	m := &mesh.Mesh{}
	n := int(side * 10)
	for i := range n * n {
		x, y := 0.1*(float64(i%n)+0.3*rng.Float64()), 0.1*(float64(i/n)+0.3*rng.Float64())
		m.Pos = append(m.Pos, r3.V(x, y, math.Sin(1.3*x)*math.Cos(0.9*y+0.2*x)+0.01*rng.NormFloat64()))
	}
	for i := range n * n {
		if a := mesh.VertexID(i); i%n < n-1 && i/n < n-1 {
			b := a + mesh.VertexID(n)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, b}, [3]mesh.VertexID{a + 1, b + 1, b})
		}
	}
	return m
}

// TestManyPointsSettleAsWithoutHelp holds the motion that many points reach behind the
// share that goes ahead against that which they reach alone: the same within the step at
// which both stop, in fewer steps.
func TestManyPointsSettleAsWithoutHelp(t *testing.T) {
	dst, src := bvh.Build(wavy(15, 1)), wavy(15, 2)
	normals := surface.VertexNormals(src)
	if len(src.Pos) < manyPoints {
		t.Fatalf("%d points are not many", len(src.Pos))
	}
	start := r3.Rigid{R: r3.Rotation(r3.V(0.6, 0, 0.8), 0.02), T: r3.V(0.2, -0.1, 0.3)}
	got, err := Align(src.Pos, normals, dst, start, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := newFitter(src.Pos, normals, dst, Options{}).settle(start)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Converged || !want.Converged || got.Iterations >= want.Iterations {
		t.Errorf("%d steps behind the share, %d alone", got.Iterations, want.Iterations)
	}
	for _, p := range []r3.Vec{{}, r3.V(15, 0, 0), r3.V(0, 15, 0), r3.V(15, 15, 2)} {
		if d := got.DstFromSrc.Point(p).Dist(want.DstFromSrc.Point(p)); d > 5*stillStep {
			t.Errorf("%v lies %.2g mm off", p, d)
		}
	}
}
