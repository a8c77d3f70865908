package surface_test

import (
	"testing"

	"selvage/mesh"
	"selvage/surface"
)

// What runs once a vertex must leave no garbage: the number of allocations of a kernel
// does not grow with the mesh. (A quarter of the vertices, then all of them.)
func TestKernelsAllocateByTheCall(t *testing.T) {
	for name, kernel := range map[string]func(*mesh.Mesh, *mesh.Topology){
		"curvature": func(m *mesh.Mesh, topo *mesh.Topology) { surface.Curvature(m, topo) },
		"noise":     func(m *mesh.Mesh, topo *mesh.Topology) { surface.Noise(m, topo) },
		"normals":   func(m *mesh.Mesh, _ *mesh.Topology) { surface.SmoothNormals(m, 3) },
		"spacing":   func(m *mesh.Mesh, _ *mesh.Topology) { surface.Spacing(m) },
	} {
		var n [2]float64
		for i, size := range []float64{5, 10} {
			m, _ := scan(t, torus(12, 6), size, 0.1, 0.01, 25)
			topo := mesh.NewTopology(m)
			n[i] = testing.AllocsPerRun(3, func() { kernel(m, topo) })
		}
		if n[1] > n[0]+60 { // more cores may share the larger one
			t.Errorf("%s: %.0f allocations on a quarter, %.0f on the whole", name, n[0], n[1])
		}
	}
}
