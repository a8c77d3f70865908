package surface_test

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// TestGeodesicOnThePlane: never shorter than the straight way, by 5 % longer in the mean.
func TestGeodesicOnThePlane(t *testing.T) {
	m, _ := scan(t, func(u, v float64) place { return place{p: r3.V(u, v, 0), n: r3.V(0, 0, 1)} }, 5, 0.1, 0, 20)
	topo := mesh.NewTopology(m)
	from := mesh.VertexID(len(m.Pos) / 2)
	const reach = 2.0
	sum, n := 0.0, 0
	for v, d := range surface.Geodesic(m, topo, []mesh.VertexID{from}, reach) {
		straight := m.Pos[v].Dist(m.Pos[from])
		switch {
		case math.IsInf(d, 1):
			if straight < reach/1.15 {
				t.Fatalf("vertex %d, %.2f mm off, is not reached within %.1f", v, straight, reach)
			}
		case d < straight-1e-12 || d > reach:
			t.Fatalf("vertex %d at %.4f, straight %.4f, reach %.1f", v, d, straight, reach)
		case straight > 0.5:
			sum, n = sum+d/straight-1, n+1
		}
	}
	if mean := sum / float64(n); mean < 0.02 || mean > 0.08 {
		t.Errorf("ways are longer by %.1f %% in the mean of %d, want about 5", 100*mean, n)
	}
}

// TestGeodesicAgainstRelaxation holds the front against the plain method: lengthen no edge
// until nothing changes.
func TestGeodesicAgainstRelaxation(t *testing.T) {
	m, _ := scan(t, torus(4, 1.2), 2, 0.15, 0.01, 21)
	topo := mesh.NewTopology(m)
	sources := []mesh.VertexID{0, 57, 57, 130}
	got := surface.Geodesic(m, topo, sources, math.Inf(1))
	want := make([]float64, len(m.Pos))
	for i := range want {
		want[i] = math.Inf(1)
	}
	for _, s := range sources {
		want[s] = 0
	}
	for changed := true; changed; {
		changed = false
		for _, tri := range m.Tri {
			for i := range 3 {
				a, b := tri[i], tri[(i+1)%3]
				l := m.Pos[a].Dist(m.Pos[b])
				if want[a]+l < want[b] {
					want[b], changed = want[a]+l, true
				}
				if want[b]+l < want[a] {
					want[a], changed = want[b]+l, true
				}
			}
		}
	}
	for v := range want {
		if got[v] != want[v] {
			t.Fatalf("vertex %d: %.12f, relaxation says %.12f", v, got[v], want[v])
		}
	}
}

func TestGeodesicDoesNotJump(t *testing.T) {
	a, _ := scan(t, ball(4), 1, 0.2, 0, 22)
	n := len(a.Pos)
	m := &mesh.Mesh{Pos: append(append([]r3.Vec{}, a.Pos...), a.Pos...), Tri: a.Tri}
	for _, tri := range a.Tri {
		k := mesh.VertexID(n)
		m.Tri = append(m.Tri, [3]mesh.VertexID{tri[0] + k, tri[1] + k, tri[2] + k})
	}
	d := surface.Geodesic(m, mesh.NewTopology(m), []mesh.VertexID{3}, math.Inf(1))
	for v := range d {
		if math.IsInf(d[v], 1) != (v >= n) {
			t.Fatalf("vertex %d of %d at %g: the second piece is not connected", v, n, d[v])
		}
	}
	if d := surface.Geodesic(a, mesh.NewTopology(a), nil, 1); !math.IsInf(d[0], 1) {
		t.Error("without a source a vertex is reached")
	}
}

// TestGeodesicOverLongEdges: a fan whose spokes grow from a hundredth of a millimetre to
// metres, one of them longer than any integer counts widths, and a strip from spoke to
// spoke that is shorter than some of them.
func TestGeodesicOverLongEdges(t *testing.T) {
	m := &mesh.Mesh{Pos: []r3.Vec{{}}}
	const spokes = 40
	for i := range spokes {
		s, c := math.Sincos(float64(i) * 0.02)
		m.Pos = append(m.Pos, r3.V(c, s, 0).Scale(0.01*math.Pow(1.6, float64(i))))
		if i > 0 {
			m.Tri = append(m.Tri, [3]mesh.VertexID{0, mesh.VertexID(i), mesh.VertexID(i + 1)})
		}
	}
	m.Pos[spokes] = r3.V(1e30, 0, 0)
	topo := mesh.NewTopology(m)
	got := surface.Geodesic(m, topo, []mesh.VertexID{1}, math.Inf(1))
	want := make([]float64, len(m.Pos))
	for v := range want {
		want[v] = math.Inf(1)
	}
	want[1] = 0
	for range m.Pos {
		for _, tri := range m.Tri {
			for i := range 3 {
				a, b := tri[i], tri[(i+1)%3]
				l := m.Pos[a].Dist(m.Pos[b])
				want[b], want[a] = min(want[b], want[a]+l), min(want[a], want[b]+l)
			}
		}
	}
	for v := range want {
		if got[v] != want[v] {
			t.Errorf("vertex %d: %g, want %g", v, got[v], want[v])
		}
	}
}

// TestGeodesicAllocates a few lists, however many vertices it reaches.
func TestGeodesicAllocates(t *testing.T) {
	m, _ := scan(t, torus(12, 6), 10, 0.1, 0.01, 24)
	topo := mesh.NewTopology(m)
	if n := testing.AllocsPerRun(3, func() { surface.Geodesic(m, topo, []mesh.VertexID{0}, math.Inf(1)) }); n > 1000 {
		t.Errorf("%.0f allocations for %d vertices", n, len(m.Pos))
	}
}
