package surface_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// sheet returns z = f(x, y) over the rectangle, outside up, with noise along z.
func sheet(x0, x1, y0, y1, step, sigma float64, seed uint64, f func(x, y float64) float64) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 7))
	m := &mesh.Mesh{}
	nx, ny := int((x1-x0)/step)+1, int((y1-y0)/step)+1
	for j := range ny {
		for i := range nx {
			x, y := x0+float64(i)*step, y0+float64(j)*step
			m.Pos = append(m.Pos, r3.V(x, y, f(x, y)+sigma*rng.NormFloat64()))
		}
	}
	for j := range ny - 1 {
		for i := range nx - 1 {
			a := mesh.VertexID(j*nx + i)
			c := a + mesh.VertexID(nx)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, c}, [3]mesh.VertexID{a + 1, c + 1, c})
		}
	}
	return m
}

func joined(parts ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range parts {
		base := mesh.VertexID(len(out.Pos))
		out.Pos = append(out.Pos, m.Pos...)
		for _, t := range m.Tri {
			out.Tri = append(out.Tri, [3]mesh.VertexID{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	return out
}

func doubled(m *mesh.Mesh, least float64) []surface.Doubling {
	tree := bvh.Build(m)
	cast := func(o, d r3.Vec, tmin, tmax float64) (mesh.FaceID, float64, bool) {
		h, ok := tree.Ray(o, d, tmin, tmax)
		return h.Face, h.T, ok
	}
	return surface.Doubled(m, mesh.NewTopology(m), surface.VertexNormals(m), cast, least)
}

func wavy(x, y float64) float64 { return 0.5 * math.Sin(x) * math.Cos(0.8*y) }

func TestDoubledSheet(t *testing.T) {
	for _, gap := range []float64{0.06, 0.15, 0.27} {
		m := joined(
			sheet(-6, 6, -6, 6, 0.1, 0.01, 1, wavy),
			sheet(-1, 1, -2, 1, 0.1, 0.01, 2, func(x, y float64) float64 { return wavy(x, y) + gap }),
		)
		d := doubled(m, 0.2)
		if len(d) != 1 {
			t.Fatalf("gap %.2f: %d places", gap, len(d))
		}
		// The sheet is 6 mm² seen from above; its slope of up to 0.5 adds a little.
		if d[0].Area < 5.5 || d[0].Area > 7.5 {
			t.Errorf("gap %.2f: area %.2f mm², want about 6.4", gap, d[0].Area)
		}
		if math.Abs(d[0].Gap-gap) > 0.2*gap {
			t.Errorf("gap %.3f, want %.3f", d[0].Gap, gap)
		}
		if d[0].At.Sub(r3.V(0, -0.5, 0)).Reject(r3.V(0, 0, 1)).Norm() > 0.5 {
			t.Errorf("gap %.2f: found at %v", gap, d[0].At)
		}
	}
}

// A pass that slipped sideways on a slope runs through the first sheet.
func TestDoubledCrossing(t *testing.T) {
	m := joined(
		sheet(-6, 6, -6, 6, 0.1, 0.01, 1, wavy),
		sheet(-2, 2, -2, 2, 0.1, 0.01, 2, func(x, y float64) float64 { return wavy(x, y) + 0.08*x }),
	)
	d := doubled(m, 0.2)
	var area float64
	for _, p := range d {
		area += p.Area
	}
	if area < 8 {
		t.Errorf("%.1f mm² of 16 found", area)
	}
}

// What is near but not doubled: a groove as narrow as a sulcus, a thin fold, two
// neighbours' walls, a noisy sheet, and a second sheet beyond the reach.
func TestDoubledDoesNotFire(t *testing.T) {
	groove := func(w float64) func(x, y float64) float64 {
		return func(x, _ float64) float64 { return -1 + math.Min(1, math.Abs(x)/w) } // walls 60-80° steep
	}
	ridge := func(w float64) func(x, y float64) float64 {
		return func(x, _ float64) float64 { return math.Max(0, 1-math.Abs(x)/w) }
	}
	for name, m := range map[string]*mesh.Mesh{
		"groove":     sheet(-2, 2, -3, 3, 0.04, 0.008, 1, groove(0.15)),
		"thin ridge": sheet(-2, 2, -3, 3, 0.04, 0.008, 2, ridge(0.15)),
		"noise":      sheet(-3, 3, -3, 3, 0.05, 0.02, 3, wavy),
		"too far": joined(sheet(-6, 6, -6, 6, 0.1, 0.01, 4, wavy),
			sheet(-2, 2, -2, 2, 0.1, 0.01, 5, func(x, y float64) float64 { return wavy(x, y) + 0.45 })),
		"facing": joined(sheet(-3, 3, -3, 3, 0.1, 0.01, 6, wavy),
			sheet(-3, 3, -3, 3, 0.1, 0.01, 7, func(x, y float64) float64 { return wavy(x, y) + 0.1 }).Flipped()),
		"thin shell": joined(sheet(-3, 3, -3, 3, 0.1, 0.01, 8, wavy),
			sheet(-3, 3, -3, 3, 0.1, 0.01, 9, func(x, y float64) float64 { return wavy(x, y) - 0.1 }).Flipped()),
	} {
		if d := doubled(m, 0.1); len(d) > 0 {
			t.Errorf("%s: %.2f mm² at %v, gap %.3f", name, d[0].Area, d[0].At, d[0].Gap)
		}
	}
}

func TestSamplingAlong(t *testing.T) {
	// Fine to the left, coarse to the right, along y = 0.
	m := joined(
		sheet(-6, 0, -3, 3, 0.1, 0, 1, wavy),
		sheet(0, 6, -3, 3, 0.2, 0, 2, wavy),
	)
	var line []r3.Vec
	for i := range 101 {
		x := -5 + float64(i)*0.1
		line = append(line, r3.V(x, 0, wavy(x, 0)))
	}
	s, ok := surface.SamplingAlong(m, line)
	if !ok {
		t.Fatal("nothing measured")
	}
	// A grid's edges are step, step and √2 step, longer on its slopes of up to 0.5.
	if s.Coarsest < 0.2 || s.Coarsest > 0.235 || s.At.X < 0.5 {
		t.Errorf("coarsest %.3f mm at %v, want 0.2 at x > 0", s.Coarsest, s.At)
	}
	if s.Median < 0.1 || s.Median > 0.15 {
		t.Errorf("median %.3f mm", s.Median)
	}
	if line[s.Index] != s.At {
		t.Errorf("point %d is not at %v", s.Index, s.At)
	}
	if x, ok := surface.MedianAlong(m, line); !ok || x != s.Median {
		t.Errorf("the median alone is %v, with all else %v", x, s.Median)
	}
	for _, none := range []*mesh.Mesh{m, {}} {
		if _, ok := surface.MedianAlong(none, []r3.Vec{{X: 50}, {X: 50.1}}); ok {
			t.Error("a median far from the surface")
		}
	}
	if _, ok := surface.SamplingAlong(m, []r3.Vec{{X: 50}, {X: 50.1}}); ok {
		t.Error("a line in the air was measured")
	}
	if _, ok := surface.SamplingAlong(&mesh.Mesh{}, line); ok {
		t.Error("an empty mesh was measured")
	}
}
