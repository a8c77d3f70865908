package bvh_test

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// TestClosestPointOfTriangle holds the primitive against the conditions of a minimum:
// no point of a fine raster of the triangle is nearer, and the point found lies in the
// triangle's plane and within its outline.
func TestClosestPointOfTriangle(t *testing.T) {
	r := rng(t, 10)
	const steps = 24
	for range 3000 {
		a, b, c := unitBall(r), unitBall(r), unitBall(r)
		p := unitBall(r).Scale(math.Pow(10, 2*r.Float64()-1))
		q, _ := bvh.Closest(a, b, c, p)
		for i := range steps + 1 {
			for j := range steps + 1 - i {
				s, u := float64(i)/steps, float64(j)/steps
				x := a.AddScaled(s, b.Sub(a)).AddScaled(u, c.Sub(a))
				if x.Dist(p) < q.Dist(p)-1e-12 {
					t.Fatalf("closest of %v %v %v to %v is %v at %g, but %v is at %g", a, b, c, p, q, q.Dist(p), x, x.Dist(p))
				}
			}
		}
		if !r3.BoxOf(a, b, c).Grow(1e-12).Contains(q) {
			t.Fatalf("closest of %v %v %v to %v = %v lies outside the triangle", a, b, c, p, q)
		}
	}
}

func TestClosestPointOfDegenerateTriangle(t *testing.T) {
	o, x, y := r3.V(0, 0, 0), r3.V(1, 0, 0), r3.V(2, 0, 0)
	for _, c := range []struct {
		name    string
		a, b, c r3.Vec
		p, want r3.Vec
	}{
		{"one point", o, o, o, r3.V(1, 1, 1), o},
		{"two equal, first", o, o, x, r3.V(0.25, 1, 0), r3.V(0.25, 0, 0)},
		{"two equal, last", o, x, x, r3.V(0.25, 1, 0), r3.V(0.25, 0, 0)},
		{"two equal, ends", x, o, x, r3.V(0.25, 1, 0), r3.V(0.25, 0, 0)},
		{"in line", o, x, y, r3.V(1.5, 1, 0), r3.V(1.5, 0, 0)},
		{"in line, middle last", o, y, x, r3.V(1.5, 1, 0), r3.V(1.5, 0, 0)},
		{"in line, beyond", o, y, x, r3.V(7, 1, 0), y},
	} {
		if got, _ := bvh.Closest(c.a, c.b, c.c, c.p); got.Dist(c.want) > 1e-15 {
			t.Errorf("%s: closest to %v = %v, want %v", c.name, c.p, got, c.want)
		}
	}
}

// TestNoRaySlipsThrough shoots at the edges and corners of a closed globe from its
// inside: every ray must meet it.
func TestNoRaySlipsThrough(t *testing.T) {
	m := globe(16, r3.V(0.3, -0.2, 0.1), 2)
	tree := bvh.Build(m)
	r := rng(t, 11)
	n := 0
	shoot := func(to r3.Vec) {
		from := r3.V(0.3, -0.2, 0.1).Add(unitBall(r))
		n++
		if _, ok := tree.Ray(from, to.Sub(from), 0, math.Inf(1)); !ok {
			t.Fatalf("the ray from %v to %v, on the surface, leaves a closed globe unseen", from, to)
		}
	}
	for f := range mesh.FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		for _, to := range []r3.Vec{a, b, c, a.Lerp(b, 0.5), b.Lerp(c, r.Float64()), c.Lerp(a, r.Float64())} {
			for range 8 {
				shoot(to)
			}
		}
	}
	t.Logf("%d rays", n)
}

// TestAxisParallelRaysThroughEdges sends rays straight down at the corners and edges of
// a level grid, where every comparison of a slab test is an equality.
func TestAxisParallelRaysThroughEdges(t *testing.T) {
	tree := bvh.Build(sheet(8, 8, level))
	for i := range 17 {
		for j := range 17 {
			o := r3.V(float64(i)/2, float64(j)/2, 3)
			hit, ok := tree.Ray(o, r3.V(0, 0, -1), 0, 5)
			if !ok || hit.T != 3 {
				t.Fatalf("down from %v: %+v %v, want T = 3", o, hit, ok)
			}
			if _, ok := tree.Ray(o, r3.V(0, 0, -1), 0, 2.999); ok {
				t.Fatalf("down from %v: hit beyond tmax", o)
			}
		}
	}
	if _, ok := tree.Ray(r3.V(-1, 1.5, 0), r3.V(1, 0, 0), 0, 20); ok {
		t.Error("a ray within the plane of the faces hit one; it promised not to")
	}
}

func TestTiesGoToTheLowestFace(t *testing.T) {
	m := sheet(6, 6, level)
	tree := bvh.Build(m)
	for v, p := range m.Pos {
		n, _ := tree.Nearest(p, 1)
		h, _ := tree.Ray(p.Add(r3.V(0, 0, 1)), r3.V(0, 0, -1), 0, 2)
		for f, tri := range m.Tri {
			if tri[0] == mesh.VertexID(v) || tri[1] == mesh.VertexID(v) || tri[2] == mesh.VertexID(v) {
				if n.Face != mesh.FaceID(f) || h.Face != mesh.FaceID(f) {
					t.Errorf("vertex %d: nearest face %d, hit face %d, the lowest there is %d", v, n.Face, h.Face, f)
				}
				break
			}
		}
	}
}
