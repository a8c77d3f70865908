package register_test

import (
	"fmt"
	"math"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// A scan that was moved by 5° and 0.3 mm is laid back on itself.
func Example() {
	m := &mesh.Mesh{}
	const n = 60
	for j := range n {
		for i := range n {
			x, y := 0.2*float64(i), 0.2*float64(j)
			m.Pos = append(m.Pos, r3.V(x, y, math.Sin(x)*math.Cos(0.8*y)))
			if i > 0 && j > 0 {
				d := mesh.VertexID(j*n + i)
				m.Tri = append(m.Tri, [3]mesh.VertexID{d - n - 1, d - n, d}, [3]mesh.VertexID{d - n - 1, d, d - 1})
			}
		}
	}
	away := r3.Rigid{R: r3.Rotation(r3.V(0, 0, 1), 5*math.Pi/180), T: r3.V(0.3, 0, 0)}
	src := m.Moved(away)
	r, err := register.Align(src.Pos, surface.VertexNormals(src), bvh.Build(m), r3.Still(), register.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("turned back by %.3f°\n", r.DstFromSrc.Angle()*180/math.Pi)
	fmt.Printf("a corner is back within 1 µm: %v\n", r.DstFromSrc.Point(src.Pos[0]).Dist(m.Pos[0]) < 0.001)
	// Output:
	// turned back by 5.000°
	// a corner is back within 1 µm: true
}
