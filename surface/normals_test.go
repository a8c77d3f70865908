package surface_test

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// TestNormalsOfABall: at the vertices angle-weighted normals miss the radius by far less
// than the faces' own miss it anywhere.
func TestNormalsOfABall(t *testing.T) {
	m, truth := scan(t, ball(4), 4, 0.2, 0, 40)
	topo := mesh.NewTopology(m)
	vertex, face := 0.0, 0.0
	for v, n := range surface.VertexNormals(m) {
		if !topo.OnBoundary(mesh.VertexID(v)) {
			vertex = max(vertex, n.Angle(truth[v].n))
		}
	}
	for f, n := range surface.FaceNormals(m) {
		face = max(face, n.Angle(truth[m.Tri[f][0]].n))
	}
	if vertex > face/4 || face > 0.06 {
		t.Errorf("vertex normals are off by up to %.4f rad, face normals by %.4f; want a quarter, and 0.06", vertex, face)
	}
}

// TestNormalsDoNotSeeTheCut: a corner of a cube has the same normal however its sides are
// cut into triangles.
func TestNormalsDoNotSeeTheCut(t *testing.T) {
	o, x, y, z := r3.V(0, 0, 0), r3.V(-1, 0, 0), r3.V(0, -1, 0), r3.V(0, 0, -1)
	xy, yz, zx := x.Add(y), y.Add(z), z.Add(x)
	m := &mesh.Mesh{
		Pos: []r3.Vec{o, x, y, z, xy, yz, zx},
		Tri: [][3]mesh.VertexID{
			{0, 1, 4}, {0, 4, 2}, // top, cut through the corner
			{0, 2, 3}, {2, 5, 3}, // side, cut past it
			{0, 3, 6}, {0, 6, 1},
		},
	}
	want, _ := r3.V(1, 1, 1).Unit()
	if n := surface.VertexNormals(m)[0]; n.Angle(want) > 1e-12 {
		t.Errorf("normal of the corner of a cube = %v, want %v", n, want)
	}
	if n := surface.FaceNormals(m)[2]; n.Angle(r3.V(1, 0, 0)) > 1e-12 || math.Abs(n.Norm()-1) > 1e-12 {
		t.Errorf("normal of a side = %v", n)
	}
}
