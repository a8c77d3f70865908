package picture

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// dome is a wavy half-sphere of about n triangles, radius 6 mm, seen from +z.
func dome(n int) *mesh.Mesh {
	k := int(math.Sqrt(float64(n) / 2))
	m := &mesh.Mesh{}
	for j := 0; j <= k; j++ {
		for i := 0; i <= k; i++ {
			u, v := 2*float64(i)/float64(k)-1, 2*float64(j)/float64(k)-1
			x, y := 6*u, 6*v
			z := 5*math.Sqrt(max(0, 1.2-u*u/2-v*v/2)) + 0.3*math.Sin(4*x)*math.Cos(3*y)
			m.Pos = append(m.Pos, r3.V(x, y, z))
		}
	}
	at := func(i, j int) mesh.VertexID { return mesh.VertexID(j*(k+1) + i) }
	for j := range k {
		for i := range k {
			m.Tri = append(m.Tri, [3]mesh.VertexID{at(i, j), at(i+1, j), at(i+1, j+1)},
				[3]mesh.VertexID{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return m
}

// BenchmarkDraw is the stated budget: 500,000 triangles at 1200 x 900 in under
// half a second on one core (-cpu 1).
func BenchmarkDraw(b *testing.B) {
	m := dome(500_000)
	s := Scene{
		View: View{Eye: r3.V(0, 0, 1), Up: r3.V(0, 1, 0), Center: r3.V(0, 0, 4), Span: 16}, W: 1200, H: 900,
		Surfaces: []Surface{{Mesh: m}},
	}
	for b.Loop() {
		s.Draw()
	}
}
