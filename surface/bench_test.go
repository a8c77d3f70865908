package surface_test

import (
	"testing"

	"selvage/mesh"
	"selvage/surface"
)

func BenchmarkCurvature(b *testing.B) {
	m, _ := scan(b, torus(12, 6), 30, 0.1, 0.01, 30)
	topo := mesh.NewTopology(m)
	for b.Loop() {
		surface.Curvature(m, topo)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(m.Pos)), "ns/vertex")
}

func BenchmarkNoise(b *testing.B) {
	m, _ := scan(b, torus(12, 6), 30, 0.1, 0.01, 31)
	topo := mesh.NewTopology(m)
	for b.Loop() {
		surface.Noise(m, topo)
	}
}

func BenchmarkVertexNormals(b *testing.B) {
	m, _ := scan(b, torus(12, 6), 30, 0.1, 0.01, 32)
	for b.Loop() {
		surface.VertexNormals(m)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(m.Tri)), "ns/face")
}

func BenchmarkGeodesic(b *testing.B) {
	m, _ := scan(b, torus(12, 6), 30, 0.1, 0.01, 33)
	topo := mesh.NewTopology(m)
	for b.Loop() {
		surface.Geodesic(m, topo, []mesh.VertexID{mesh.VertexID(len(m.Pos) / 2)}, 5)
	}
}
