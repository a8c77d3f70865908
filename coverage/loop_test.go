package coverage

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// sheet returns a square sheet of half-width half at height z, cells of 0.1 mm,
// without the cells whose middle keep refuses.
func sheet(half, z float64, keep func(x, y float64) bool) *Surface {
	const cell = 0.1
	n := int(2*half/cell) + 1
	m := &mesh.Mesh{}
	for j := range n {
		for i := range n {
			m.Pos = append(m.Pos, r3.V(float64(i)*cell-half, float64(j)*cell-half, z))
		}
	}
	for j := range n - 1 {
		for i := range n - 1 {
			if !keep((float64(i)+0.5)*cell-half, (float64(j)+0.5)*cell-half) {
				continue
			}
			a := mesh.VertexID(j*n + i)
			b, c, d := a+1, a+mesh.VertexID(n)+1, a+mesh.VertexID(n)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
		}
	}
	return surfaceOf("working", m)
}

func surfaceOf(role string, m *mesh.Mesh) *Surface {
	return &Surface{Role: role, Mesh: m, Topo: mesh.NewTopology(m), Tree: bvh.Build(m)}
}

func all(x, y float64) bool { return true }

// A round hole of 2 mm in a sheet: its loop is no rim, the sheet's edge is. The
// staircase of cells adds up to a cell's diagonal each side.
func TestLoopsOfASheet(t *testing.T) {
	s := sheet(5, 0, func(x, y float64) bool { return math.Hypot(x-1, y) > 1 })
	ls := loops(s)
	if len(ls) != 2 {
		t.Fatalf("%d loops, want 2", len(ls))
	}
	for _, l := range ls {
		if l.extent > 5 {
			if !l.rim {
				t.Error("the edge of the sheet is taken for a hole")
			}
			continue
		}
		if l.rim || math.Abs(l.extent-2) > 0.3 || math.Abs(l.area-math.Pi) > 0.2 {
			t.Errorf("hole: rim %v, extent %.2f, area %.2f", l.rim, l.extent, l.area)
		}
		if d := l.middle.Dist(r3.V(1, 0, 0)); d > 0.05 || l.normal.Z < 0.99 {
			t.Errorf("hole: middle off by %.2f, normal %v", d, l.normal)
		}
	}
}

// A pinhole is left out; a crumb beside the sheet is loose.
func TestPinholesAndCrumbs(t *testing.T) {
	s := sheet(5, 0, func(x, y float64) bool {
		pin := math.Abs(x) < 0.1 && math.Abs(y) < 0.1
		ring := math.Max(math.Abs(x-3), math.Abs(y-3))
		return !pin && !(ring > 0.6 && ring < 0.9)
	})
	loose := 0
	for _, l := range loops(s) {
		if l.extent < loopLeast {
			t.Errorf("a loop of %.2f mm", l.extent)
		}
		if l.loose {
			loose++
			if !l.rim {
				t.Error("the rim of a crumb is taken for a hole")
			}
		}
	}
	if loose != 1 {
		t.Errorf("%d loose pieces, want 1", loose)
	}
}

// Another scan covers a hole if it passes within the hole's reach, and not if it
// has the hole too.
func TestCover(t *testing.T) {
	hole := func(x, y float64) bool { return math.Hypot(x, y) > 0.5 }
	l := loops(sheet(5, 0, hole))
	var h *loop
	for i := range l {
		if !l[i].rim {
			h = &l[i]
		}
	}
	for _, c := range []struct {
		z    float64
		keep func(x, y float64) bool
		want bool
	}{
		{0.05, all, true},
		{0.3, all, true},
		{-0.3, all, true},
		{1.5, all, false},
		{0.05, hole, false},
	} {
		if got := h.coveredBy(sheet(5, c.z, c.keep)); got != c.want {
			t.Errorf("a sheet %.2f mm away covers: %v, want %v", c.z, got, c.want)
		}
	}
	if h.coveredBy(nil) || h.coveredBy(h.surface) {
		t.Error("a hole is covered by nothing or by its own scan")
	}
}

func TestWidest(t *testing.T) {
	pts := []r3.Vec{{X: -1}, {X: 3}, {Y: 1}, {Z: 2}}
	if d := widest(pts); math.Abs(d-4) > 1e-12 {
		t.Errorf("widest = %v, want 4", d)
	}
	if widest(nil) != 0 || widest(pts[:1]) != 0 {
		t.Error("no points have a width")
	}
}
