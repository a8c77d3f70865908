package path_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/prep/path"
	"selvage/r3"
)

// A stump of 5 mm radius beside a flat wall that stands at x = d: the wall overlaps
// the swept outline by 5 - d exactly (less the edge's own rounding, 0.01 mm).
func TestWallBesideStump(t *testing.T) {
	s := meshtest.DefaultStump()
	rho, _ := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	for _, d := range []float64{4.6, 5.0, 5.6} {
		m := meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round)
		addWall(m, d)
		p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
		p.Noise, p.Spacing = 0.01, 0.1
		fan, _ := prep.Cut(p)
		mg, ok := margin.Detect(fan, margin.Options{})
		if !ok {
			t.Fatal("no margin")
		}
		r := path.Measure(mg, true, false)
		if !r.Overlap.Measured() {
			t.Fatalf("wall at %g: %s", d, r.Overlap.Why)
		}
		if math.Abs(r.Overlap.V-(rho-d)) > 0.03 || !r.Mesial {
			t.Errorf("wall at %g: overlap %.3f (mesial %v), want %.3f ± 0.03", d, r.Overlap.V, r.Mesial, rho-d)
		}
		if (r.Overlap.V > 0) != (r.Tilt > 0) {
			t.Errorf("wall at %g: tilt %.3f for overlap %.3f", d, r.Tilt, r.Overlap.V)
		}
		if none := path.Measure(mg, false, true); none.Overlap.Measured() {
			t.Error("a distal neighbour was invented")
		}
	}
}

// addWall adds a flat wall at x = d that faces the stump, 2 to 6 mm above the
// margin.
func addWall(m *mesh.Mesh, d float64) {
	const n = 40
	base := mesh.VertexID(len(m.Pos))
	for i := range n + 1 {
		for j := range n + 1 {
			m.Pos = append(m.Pos, r3.V(d, 4*(float64(i)/n-0.5), 2+4*float64(j)/n))
		}
	}
	id := func(i, j int) mesh.VertexID { return base + mesh.VertexID(i*(n+1)+j) }
	for i := range n {
		for j := range n {
			m.Tri = append(m.Tri, [3]mesh.VertexID{id(i, j), id(i, j+1), id(i+1, j)}, [3]mesh.VertexID{id(i+1, j), id(i, j+1), id(i+1, j+1)})
		}
	}
}
