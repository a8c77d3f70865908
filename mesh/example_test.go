package mesh_test

import (
	"fmt"

	"selvage/mesh"
	"selvage/r3"
)

// An STL file repeats every corner: Build joins them, and the topology then tells
// where the surface ends.
func Example() {
	a, b, c, d := r3.V(0, 0, 0), r3.V(1, 0, 0), r3.V(1, 1, 0), r3.V(0, 1, 0)
	m, repair := mesh.Build(mesh.Soup{Pos: []r3.Vec{a, b, c, a, c, d, a, b, c}})
	fmt.Printf("%d vertices, %d faces; %d points joined, %d face twice\n",
		len(m.Pos), len(m.Tri), repair.Welded, repair.Duplicate)

	topo := mesh.NewTopology(m)
	for _, loop := range topo.Loops() {
		fmt.Printf("a rim of %d edges around %.0f mm²\n", len(loop), m.Area())
	}
	// Output:
	// 4 vertices, 2 faces; 5 points joined, 1 face twice
	// a rim of 4 edges around 1 mm²
}
