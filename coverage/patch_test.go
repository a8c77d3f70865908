package coverage

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// TestPatches draws one gap of each form: the mesh covers what it should and faces the
// viewer whatever way its points run.
func TestPatches(t *testing.T) {
	up := r3.V(0, 0, 1)
	var ring []r3.Vec
	for k := range 24 {
		s, c := math.Sincos(-2 * math.Pi * float64(k) / 24) // clockwise
		ring = append(ring, r3.V(c, s, 0))
	}
	area := func(m *mesh.Mesh) (a float64, facing bool) {
		facing = true
		for f := range m.Tri {
			v := m.AreaVector(mesh.FaceID(f))
			a += v.Norm()
			facing = facing && v.Dot(up) > 0
		}
		return a, facing
	}
	hole := Patches([]Gap{{Form: AsHole, Outline: ring, Normal: up}})
	if a, facing := area(hole); !facing || math.Abs(a-12*math.Sin(2*math.Pi/24)) > 1e-9 {
		t.Errorf("cap of a ring: area %.4f, facing %v", a, facing)
	}
	cells := Patches([]Gap{{Form: AsCells, Outline: []r3.Vec{{}, r3.V(5, 0, 0)}, Normal: up}})
	if a, facing := area(cells); !facing || math.Abs(a-2*rasterCell*rasterCell) > 1e-9 {
		t.Errorf("two cells: area %.4f, facing %v", a, facing)
	}
	rim := Patches([]Gap{{Form: AsRim, Outline: []r3.Vec{{}, r3.V(1, 0, 0), r3.V(2, 0, 0)}, Normal: up}})
	if a, _ := area(rim); math.Abs(a-2*rimSeen) > 1e-9 {
		t.Errorf("fence on a rim of 2 mm: area %.4f, want %.4f", a, 2*rimSeen)
	}
	if m := Patches([]Gap{{Normal: up}, {Form: AsHole, Outline: ring[:2], Normal: up}}); len(m.Tri) != 0 {
		t.Errorf("%d triangles of gaps without points", len(m.Tri))
	}
}
