package reduction

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// crownsOf cuts a row into its teeth, 8 mm long, without the one in the middle.
func crownsOf(m *mesh.Mesh) []Crown {
	out := make([]Crown, 4)
	normals := surface.SmoothNormals(m, 3)
	for v, p := range m.Pos {
		k := int(math.Floor((p.X + 4) / 8))
		if k == 0 || k < -2 || k > 2 || math.Abs(p.Y) > 4.5 || v%5 != 0 {
			continue
		}
		slot := k + 2
		if k > 0 {
			slot = k + 1
		}
		out[slot].Pts, out[slot].Normals = append(out[slot].Pts, p), append(out[slot].Normals, normals[v])
	}
	return out
}

// One mouth is known again although the tooth was cut, a neighbour was built up by half
// a millimetre and the gum was pushed aside; another mouth is not taken for it.
func TestSame(t *testing.T) {
	working := field(18, 7, 0.2, 0.01, 1, arch(0, 1.8))
	same := func(f func(x, y float64) float64) Sameness {
		b := field(18, 7, 0.2, 0.01, 2, f)
		return Same(crownsOf(working), bvh.Build(b), r3.Still())
	}
	old := arch(0, 0)
	s := same(func(x, y float64) float64 {
		z := old(x, y)
		if x > 4 && x < 12 {
			z -= 0.5 * math.Exp(-math.Pow(math.Hypot(x-8, y)/3, 6))
		}
		if math.Abs(y) > 5 {
			z += 0.6
		}
		return z
	})
	t.Logf("one mouth: all %.3f, typical tooth %.3f ± %.3f mm", s.RMS.V, s.Tooth.V, s.Tooth.U)
	if !s.Tooth.Measured() || s.Tooth.V+s.Tooth.U > 0.11 {
		t.Errorf("one mouth is taken for another: %+v", s)
	}
	for _, phase := range []float64{2, 3.1, 4.5} {
		other := arch(phase, 0)
		s := same(func(x, y float64) float64 { return 1.6*other(x, 1.15*y) - 2 })
		t.Logf("phase %.1f: all %.3f, typical tooth %.3f ± %.3f mm", phase, s.RMS.V, s.Tooth.V, s.Tooth.U)
		if !s.Tooth.Measured() || s.Tooth.V-s.Tooth.U < 0.11 {
			t.Errorf("phase %.1f: another mouth is taken for the same: %+v", phase, s)
		}
	}
	if s := Same(crownsOf(working)[:1], bvh.Build(working), r3.Still()); s.Tooth.Measured() {
		t.Errorf("one tooth is no mouth: %+v", s)
	}
}
