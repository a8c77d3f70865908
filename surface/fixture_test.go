package surface_test

import (
	"flag"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

var seedFlag = flag.Uint64("seed", 1, "seed of the generated meshes and noise")

func rng(salt uint64) *rand.Rand { return rand.New(rand.NewPCG(*seedFlag, salt)) }

// place is a point of a shape with its outward normal and principal curvatures, and the
// direction of the larger.
type place struct {
	p, n   r3.Vec
	k1, k2 float64
	d1     r3.Vec
}

// shape maps two parameters in mm to the surface; near the middle of its domain they are
// lengths.
type shape func(u, v float64) place

// scan samples a shape on a jittered grid of the given spacing over [-size/2, size/2]²,
// cut into triangles at random, with gaussian noise along the normal.
func scan(tb testing.TB, s shape, size, spacing, noise float64, salt uint64) (*mesh.Mesh, []place) {
	tb.Helper()
	r := rng(salt)
	m := &mesh.Mesh{}
	var truth []place
	n := int(size/spacing) + 1
	for j := range n {
		for i := range n {
			u := spacing*(float64(i)+0.4*(r.Float64()-0.5)) - size/2
			v := spacing*(float64(j)+0.4*(r.Float64()-0.5)) - size/2
			at := s(u, v)
			truth = append(truth, at)
			m.Pos = append(m.Pos, at.p.AddScaled(noise*r.NormFloat64(), at.n))
		}
	}
	id := func(i, j int) mesh.VertexID { return mesh.VertexID(j*n + i) }
	for j := range n - 1 {
		for i := range n - 1 {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			if r.IntN(2) == 0 {
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
			} else {
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d}, [3]mesh.VertexID{b, c, d})
			}
		}
	}
	return m, truth
}
