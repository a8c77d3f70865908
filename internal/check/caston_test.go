package check

import (
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// Rays on a cut-out, asked of the index of the whole scan, meet what they meet by an index
// of the cut-out alone: also where a sheet that was left out lies in between.
func TestCastOnTheWholeScan(t *testing.T) {
	const side = 30
	whole := &mesh.Mesh{}
	sheet := func(z float64) {
		n := mesh.VertexID(len(whole.Pos))
		for i := range side * side {
			whole.Pos = append(whole.Pos, r3.V(0.1*float64(i%side), 0.1*float64(i/side), z+0.01*float64(i%7)))
			if a := n + mesh.VertexID(i); i%side < side-1 && i/side < side-1 {
				b := a + side
				whole.Tri = append(whole.Tri, [3]mesh.VertexID{a, a + 1, b}, [3]mesh.VertexID{a + 1, b + 1, b})
			}
		}
	}
	sheet(0)    // kept
	sheet(-0.1) // left out on one side
	sheet(-0.2) // kept
	faces := len(whole.Tri) / 3
	sub, _, faceOf := mesh.Submesh(whole, func(f mesh.FaceID) bool {
		return int(f)/faces != 1 || whole.Centroid(f).X < 1
	})
	p := &prep.Preparation{Mesh: sub, Topo: mesh.NewTopology(sub), FaceOf: faceOf}
	cast, own := castOn(bvh.Build(whole), p), bvh.Build(sub)
	between, hits := 0, 0
	for _, o := range sub.Pos {
		d := r3.V(0.03, -0.02, -1)
		f, s, ok := cast(o, d, 1e-3, 0.3)
		want, met := own.Ray(o, d, 1e-3, 0.3)
		if ok != met || ok && (f != want.Face || s != want.T) {
			t.Fatalf("from %v: face %d at %v, %v; the cut-out alone has %d at %v, %v", o, f, s, ok, want.Face, want.T, met)
		}
		if ok {
			hits++
			if s > 0.15 {
				between++
			}
		}
	}
	if hits == 0 || between == 0 || between == hits {
		t.Errorf("%d hits, %d past a sheet that was left out: the test tests less than it says", hits, between)
	}
}
