package mesh_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/r3"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// rounding is the error of a sum of a few thousand terms of order 1000.
const rounding = 1e-9

func TestSizesOfKnownShapes(t *testing.T) {
	// A right pyramid with unit edges along the axes.
	tetra := &mesh.Mesh{
		Pos: []r3.Vec{o, ex, ey, ez},
		Tri: [][3]mesh.VertexID{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
	near(t, "area", tetra.Area(), 1.5+math.Sqrt(3)/2, rounding)
	near(t, "volume", tetra.SignedVolume(), 1.0/6, rounding)
	near(t, "volume inside out", tetra.Flipped().SignedVolume(), -1.0/6, rounding)
	near(t, "vector area", tetra.VectorArea().Norm(), 0, rounding)

	plate := meshtest.Plate(6, 5, 0.5, nil)
	near(t, "area of a plate", plate.Area(), 7.5, rounding)
	near(t, "vector area of a plate", plate.VectorArea().Dist(r3.V(0, 0, 7.5)), 0, rounding)
	near(t, "median edge of a plate", plate.MedianEdge(), 0.5, rounding)

	var none mesh.Mesh
	if none.Area() != 0 || none.SignedVolume() != 0 || none.MedianEdge() != 0 || none.VectorArea() != (r3.Vec{}) {
		t.Error("an empty mesh has a size")
	}
}

// Law: the sizes of a sphere converge on the formulas from below, with the
// square of the edge: four times as near with half the edge.
func TestSizesConverge(t *testing.T) {
	const r = 10.0
	short := func(n int) (area, volume float64) {
		m := meshtest.Sphere(r, n)
		return 4*math.Pi*r*r - m.Area(), 4.0/3*math.Pi*r*r*r - m.SignedVolume()
	}
	a1, v1 := short(16)
	a2, v2 := short(32)
	near(t, "ratio of the area's errors", a1/a2, 4, 0.05)
	near(t, "ratio of the volume's errors", v1/v2, 4, 0.05)
}

// Law: moving a mesh moves its sizes with it.
func TestSizesAreInvariant(t *testing.T) {
	rng := newRand()
	for name, m := range shapes() {
		for range 10 {
			axis := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).UnitOr(ex)
			g := r3.Rigid{R: r3.Rotation(axis, 6*rng.Float64()), T: r3.V(300*rng.Float64(), 0, -200)}
			p := m.Moved(g)
			near(t, name+" area", p.Area(), m.Area(), 1e-9*m.Area())
			near(t, name+" median edge", p.MedianEdge(), m.MedianEdge(), 1e-9)
			near(t, name+" vector area", p.VectorArea().Dist(g.Dir(m.VectorArea())), 0, 1e-9*m.Area())
			if topo := mesh.NewTopology(m); topo.Boundary == 0 {
				near(t, name+" volume", p.SignedVolume(), m.SignedVolume(), 1e-9*m.Area()*10)
			}
			near(t, name+" scaled", m.Scaled(3).Area(), 9*m.Area(), 1e-9*m.Area()*9)
		}
	}
}

// Oracle: sort all edges.
func TestMedianEdgeAgainstSorting(t *testing.T) {
	rng := newRand()
	for trial := range 50 {
		m := meshtest.Torus(10, 3, 3+rng.IntN(20), 3+rng.IntN(20))
		for v := range m.Pos {
			m.Pos[v] = m.Pos[v].Scale(math.Exp(rng.NormFloat64()))
		}
		var all []float64
		for f := range mesh.FaceID(len(m.Tri)) {
			a, b, c := m.Corners(f)
			all = append(all, a.Dist(b), b.Dist(c), c.Dist(a))
		}
		slices.Sort(all)
		if got, want := m.MedianEdge(), all[(len(all)-1)/2]; got != want {
			t.Fatalf("seed %d trial %d: median edge %g, want %g", seed, trial, got, want)
		}
	}
}

func TestSubmesh(t *testing.T) {
	m := meshtest.Painted(meshtest.Sphere(10, 5))
	keep := func(f mesh.FaceID) bool { return m.Centroid(f).Z > 2 }
	sub, vertexOf, faceOf := mesh.Submesh(m, keep)
	if len(faceOf) == 0 || len(faceOf) == len(m.Tri) {
		t.Fatalf("the cut kept %d of %d faces: it tests nothing", len(faceOf), len(m.Tri))
	}
	for i, f := range faceOf {
		if !keep(f) {
			t.Errorf("face %d was kept", f)
		}
		a, b, c := m.Corners(f)
		if x, y, z := sub.Corners(mesh.FaceID(i)); x != a || y != b || z != c {
			t.Errorf("face %d moved", f)
		}
	}
	for i, v := range vertexOf {
		if sub.Pos[i] != m.Pos[v] || sub.Color[i] != m.Color[v] {
			t.Errorf("vertex %d is not vertex %d of the whole", i, v)
		}
	}
	if !slices.IsSorted(faceOf) || !slices.IsSorted(vertexOf) {
		t.Error("order is not kept")
	}
	if topo := mesh.NewTopology(sub); topo.Euler() != 1 || len(topo.Loops()) != 1 {
		t.Errorf("a cap of a sphere has Euler characteristic %d", topo.Euler())
	}
	all, _, _ := mesh.Submesh(m, func(mesh.FaceID) bool { return true })
	if !reflect.DeepEqual(all, m) {
		t.Error("keeping everything changes the mesh")
	}
	none, v, f := mesh.Submesh(m, func(mesh.FaceID) bool { return false })
	if len(none.Pos)+len(none.Tri)+len(v)+len(f) != 0 {
		t.Error("keeping nothing leaves something")
	}
}
