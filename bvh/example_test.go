package bvh_test

import (
	"fmt"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// A square of two faces at z = 0, asked from above.
func Example() {
	m := &mesh.Mesh{
		Pos: []r3.Vec{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}},
		Tri: [][3]mesh.VertexID{{0, 1, 2}, {0, 2, 3}},
	}
	t := bvh.Build(m)
	p := r3.V(1.5, 0.5, 0.75)
	near, _ := t.Nearest(p, 1)
	fmt.Printf("nearest: face %d, %.2f mm\n", near.Face, near.D)
	hit, _ := t.Ray(p, r3.V(-1, 1, -1), 0, 10)
	fmt.Printf("hit: face %d at %.2f\n", hit.Face, hit.Point)
	d, _ := t.SignedDistance(r3.V(1, 1, -0.25), 1)
	fmt.Printf("below: %.2f mm\n", d)
	fmt.Println("in a ball:", t.InSphere(nil, r3.V(0, 2, 0), 0.5))
	// Output:
	// nearest: face 0, 0.75 mm
	// hit: face 1 at {0.75 1.25 0.00}
	// below: -0.25 mm
	// in a ball: [1]
}
