package bvh_test

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// wedge is a closed, very thin and sharp tetrahedron: the shape on which the normal of
// the nearest face alone gives wrong signs.
func wedge() *mesh.Mesh {
	return &mesh.Mesh{
		Pos: []r3.Vec{{X: 0, Y: 0, Z: 0}, {X: 10, Y: -1, Z: 0.01}, {X: 10, Y: 1, Z: 0.01}, {X: 9, Y: 0, Z: 1}},
		Tri: [][3]mesh.VertexID{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
	}
}

// contains tells inside from outside by solid angle, which shares nothing with the
// method under test: the sum over all faces is 4π inside a closed surface, 0 outside
// [VanOosterom1983].
func contains(m *mesh.Mesh, p r3.Vec) bool {
	sum := 0.0
	for f := range mesh.FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		a, b, c = a.Sub(p), b.Sub(p), c.Sub(p)
		x, y, z := a.Norm(), b.Norm(), c.Norm()
		sum += 2 * math.Atan2(a.Dot(b.Cross(c)), x*y*z+a.Dot(b)*z+b.Dot(c)*x+c.Dot(a)*y)
	}
	return sum > 2*math.Pi
}

func TestSignAgainstSolidAngle(t *testing.T) {
	for _, c := range []named{
		{"globe", globe(10, r3.V(1, 2, 3), 2)},
		{"wedge", wedge()},
		{"globe with a dent", dented(globe(14, r3.Vec{}, 2))},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 7)
			tree := bvh.Build(c.mesh)
			inside := 0
			for _, p := range places(r, c.mesh, 3000)[7:] {
				d, ok := tree.SignedDistance(p, math.Inf(1))
				if !ok {
					t.Fatalf("SignedDistance(%v): nothing found", p)
				}
				if math.Abs(d) < 1e-9 {
					continue // on the surface: the solid angle is undecided
				}
				in := contains(c.mesh, p)
				if in != (d < 0) {
					t.Errorf("SignedDistance(%v) = %g, solid angle says inside = %v", p, d, in)
				}
				if in {
					inside++
				}
			}
			if inside < 50 {
				t.Errorf("only %d points inside: the test asks too little", inside)
			}
		})
	}
}

// dented pushes the top of a globe in to a sharp pit.
func dented(m *mesh.Mesh) *mesh.Mesh {
	m.Pos[0].Z = -1
	return m
}

func TestSignBeyondOddEdges(t *testing.T) {
	// Three half-planes meet in the z axis; over the ridge the sum of all three decides.
	m := &mesh.Mesh{
		Pos: []r3.Vec{{}, {Z: 1}, {X: 1, Y: -0.2}, {X: -1, Y: -0.2}, {X: 0.5, Y: -1}},
		Tri: [][3]mesh.VertexID{{0, 1, 2}, {1, 0, 3}, {0, 1, 4}},
	}
	d, _ := bvh.Build(m).SignedDistance(r3.V(0, 0.5, 0.5), 1)
	if math.Abs(d-0.5) > 1e-12 {
		t.Errorf("SignedDistance over an edge of three faces = %g, want +0.5", d)
	}
}

func TestSignedDistanceOutOfReach(t *testing.T) {
	if d, ok := bvh.Build(globe(6, r3.Vec{}, 1)).SignedDistance(r3.V(9, 0, 0), 1); ok || !math.IsInf(d, 1) {
		t.Errorf("SignedDistance beyond its reach = %g %v, want +Inf false", d, ok)
	}
	if _, ok := bvh.Build(&mesh.Mesh{}).SignedDistance(r3.V(9, 0, 0), 1); ok {
		t.Error("SignedDistance to an empty mesh found something")
	}
}

func TestOnRim(t *testing.T) {
	tree := bvh.Build(sheet(10, 10, bumpy))
	for _, c := range []struct {
		p    r3.Vec
		want bool
	}{
		{r3.V(5, 5, 1), false},
		{r3.V(-1, 5.3, 0), true},
		{r3.V(-1, -1, 0), true},
		{r3.V(5.2, 12, 0), true},
		{r3.V(9.95, 5.2, 0.05), false},
	} {
		n, _ := tree.Nearest(c.p, math.Inf(1))
		if got := tree.OnRim(n); got != c.want {
			t.Errorf("OnRim of the answer to %v, %+v = %v, want %v", c.p, n, got, c.want)
		}
	}
	globe := bvh.Build(globe(8, r3.Vec{}, 1))
	for _, p := range places(rng(t, 8), globe.Mesh, 300)[7:] {
		if n, _ := globe.Nearest(p, math.Inf(1)); globe.OnRim(n) {
			t.Fatalf("a closed globe has a rim at %v", n.Point)
		}
	}
}

// TestSmoothOfGlobe: on a faceted ball of n rings the blended normal deviates from the
// radius by far less than a face's own, which is up to 90°/n off, and the smooth point
// lies nearer to the ball than the facets by an order.
func TestSmoothOfGlobe(t *testing.T) {
	const rings = 48
	tree := bvh.Build(globe(rings, r3.Vec{}, 1))
	tilt, sag, flat := 0.0, 0.0, 0.0
	for _, p := range places(rng(t, 9), tree.Mesh, 500)[7:] {
		n, _ := tree.Nearest(p, math.Inf(1))
		point, normal := tree.Smooth(n)
		tilt = max(tilt, normal.Angle(n.Point))
		sag, flat = max(sag, math.Abs(point.Norm()-1)), max(flat, math.Abs(n.Point.Norm()-1))
	}
	if deg := tilt * 180 / math.Pi; deg > 0.25 {
		t.Errorf("smooth normal of a globe is off by up to %.2f°, want under 0.25°", deg)
	}
	if sag > flat/10 {
		t.Errorf("smooth points of a globe are off by %.2g, facets by %.2g; want a tenth", sag, flat)
	}
}

// The normals of vertices are worked out one by one; each must be the sum that one pass
// over all faces gives, bit by bit, also where fans meet in a vertex or faces in an edge.
func TestCornerNormalsAgainstOnePass(t *testing.T) {
	m := dented(globe(12, r3.Vec{}, 2))
	m.Pos = append(m.Pos, r3.V(3, 0, 1), r3.V(3, 1, -1), r3.V(0, 3, 3))
	n := mesh.VertexID(len(m.Pos))
	m.Tri = append(m.Tri,
		[3]mesh.VertexID{0, n - 3, n - 2},                   // a second fan at vertex 0
		[3]mesh.VertexID{m.Tri[9][0], m.Tri[9][1], n - 1},   // a third face at an edge
		[3]mesh.VertexID{m.Tri[20][0], m.Tri[20][0], n - 1}, // a corner twice
	)
	want := make([]r3.Vec, len(m.Pos))
	for f, tri := range m.Tri {
		u, _ := m.AreaVector(mesh.FaceID(f)).Unit()
		for i, v := range tri {
			p := m.Pos[v]
			want[v] = want[v].AddScaled(m.Pos[tri[(i+1)%3]].Sub(p).Angle(m.Pos[tri[(i+2)%3]].Sub(p)), u)
		}
	}
	tree := bvh.Build(m)
	for range 2 {
		for v := range m.Pos {
			if got := tree.CornerNormal(mesh.VertexID(v)); got != want[v] {
				t.Fatalf("vertex %d: %v, one pass gives %v", v, got, want[v])
			}
		}
	}
}
