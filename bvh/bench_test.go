package bvh_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// benchSheets are wavy sheets of about n faces, 60 mm wide.
func benchSheets(b *testing.B, do func(b *testing.B, m *mesh.Mesh)) {
	for _, n := range []int{1e3, 1e4, 1e5, 4e5, 1e6} {
		m := sheet(int(math.Sqrt(float64(n)/2)), 60, bumpy)
		b.Run(fmt.Sprint(n), func(b *testing.B) { do(b, m) })
	}
}

// near returns points scattered within 0.5 mm of the vertices, in random order.
func near(m *mesh.Mesh, n int) []r3.Vec {
	r := rand.New(rand.NewPCG(1, 1))
	pts := make([]r3.Vec, n)
	for i := range pts {
		pts[i] = m.Pos[r.IntN(len(m.Pos))].AddScaled(0.5, unitBall(r))
	}
	return pts
}

func BenchmarkBuild(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		b.ReportAllocs()
		for b.Loop() {
			bvh.Build(m)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(m.Tri)), "ns/face")
	})
}

func BenchmarkNearest(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t, pts, i := bvh.Build(m), near(m, 1<<14), 0
		for b.Loop() {
			t.Nearest(pts[i&(1<<14-1)], math.Inf(1))
			i++
		}
	})
}

// BenchmarkNearestAll moves every vertex by 0.1 mm, as registration does; the vertices
// come in the order of the file.
func BenchmarkNearestAll(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t := bvh.Build(m)
		pts := m.Moved(r3.Rigid{R: r3.Rotation(r3.V(0, 0, 1), 0.001), T: r3.V(0.05, 0.05, 0.1)}).Pos
		for b.Loop() {
			t.NearestAll(pts, math.Inf(1))
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(pts)), "ns/point")
	})
}

func rays(m *mesh.Mesh, n int) [][2]r3.Vec {
	r := rand.New(rand.NewPCG(1, 2))
	out := make([][2]r3.Vec, n)
	for i := range out {
		p := m.Pos[r.IntN(len(m.Pos))]
		o := p.Add(unitBall(r).Scale(10)).Add(r3.V(0, 0, 20))
		d, _ := p.Sub(o).Unit()
		out[i] = [2]r3.Vec{o, d}
	}
	return out
}

func BenchmarkRay(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t, q, i := bvh.Build(m), rays(m, 1<<14), 0
		for b.Loop() {
			t.Ray(q[i&(1<<14-1)][0], q[i&(1<<14-1)][1], 0, math.Inf(1))
			i++
		}
	})
}

func BenchmarkOccluded(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t, q, i := bvh.Build(m), rays(m, 1<<14), 0
		for b.Loop() {
			t.Occluded(q[i&(1<<14-1)][0], q[i&(1<<14-1)][1], 0, math.Inf(1))
			i++
		}
	})
}

func BenchmarkInSphere(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t, pts, i := bvh.Build(m), near(m, 1<<14), 0
		var dst []mesh.FaceID
		for b.Loop() {
			dst = t.InSphere(dst, pts[i&(1<<14-1)], 1)
			i++
		}
	})
}

func BenchmarkSignedDistance(b *testing.B) {
	benchSheets(b, func(b *testing.B, m *mesh.Mesh) {
		t, pts, i := bvh.Build(m), near(m, 1<<14), 0
		t.SignedDistance(pts[0], 1)
		for b.Loop() {
			t.SignedDistance(pts[i&(1<<14-1)], 1)
			i++
		}
	})
}
