package mesh_test

import (
	"fmt"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
)

// sizes are divisions of the sphere that give about 100 k, 400 k and 1.6 M
// triangles.
var sizes = []int{112, 224, 448}

// perSize runs a benchmark for each size.
func perSize(b *testing.B, f func(b *testing.B, m *mesh.Mesh)) {
	for _, n := range sizes {
		m := meshtest.Single(meshtest.Sphere(30, n))
		b.Run(fmt.Sprintf("triangles=%dk", len(m.Tri)/1000), func(b *testing.B) {
			b.ReportAllocs()
			f(b, m)
		})
	}
}

func BenchmarkBuildCorners(b *testing.B) {
	perSize(b, func(b *testing.B, m *mesh.Mesh) {
		s := meshtest.Unweld(m)
		for b.Loop() {
			mesh.Build(s)
		}
	})
}

func BenchmarkBuildIndexed(b *testing.B) {
	perSize(b, func(b *testing.B, m *mesh.Mesh) {
		s := meshtest.Indexed(m)
		for b.Loop() {
			mesh.Build(s)
		}
	})
}

func BenchmarkTopology(b *testing.B) {
	perSize(b, func(b *testing.B, m *mesh.Mesh) {
		for b.Loop() {
			mesh.NewTopology(m)
		}
	})
}

func BenchmarkComponents(b *testing.B) {
	perSize(b, func(b *testing.B, m *mesh.Mesh) {
		t := mesh.NewTopology(m)
		for b.Loop() {
			t.Components()
		}
	})
}

func BenchmarkMedianEdge(b *testing.B) {
	perSize(b, func(b *testing.B, m *mesh.Mesh) {
		for b.Loop() {
			m.MedianEdge()
		}
	})
}
