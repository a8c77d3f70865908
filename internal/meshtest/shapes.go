package meshtest

import (
	"math"
	"math/rand/v2"

	"selvage/mesh"
	"selvage/r3"
)

// Sphere returns an octahedron of which each face is divided into n² triangles,
// pushed out to the sphere of radius r about the origin: 8n² faces, 4n²+2
// vertices, closed, wound outward.
func Sphere(r float64, n int) *mesh.Mesh {
	corners := [6]r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
	faces := [8][3]int{{0, 2, 4}, {2, 1, 4}, {1, 3, 4}, {3, 0, 4}, {2, 0, 5}, {1, 2, 5}, {3, 1, 5}, {0, 3, 5}}
	s := mesh.Soup{}
	at := func(c [3]r3.Vec, i, j int) r3.Vec {
		// Whole numbers until the last step, so that neighbours agree on every bit.
		p := c[0].Scale(float64(n - i - j)).Add(c[1].Scale(float64(i))).Add(c[2].Scale(float64(j)))
		return p.UnitOr(r3.Vec{}).Scale(r)
	}
	for _, f := range faces {
		c := [3]r3.Vec{corners[f[0]], corners[f[1]], corners[f[2]]}
		for i := range n {
			for j := range n - i {
				s.Pos = append(s.Pos, at(c, i, j), at(c, i+1, j), at(c, i, j+1))
				if j < n-i-1 {
					s.Pos = append(s.Pos, at(c, i+1, j), at(c, i+1, j+1), at(c, i, j+1))
				}
			}
		}
	}
	m, _ := mesh.Build(s)
	return m
}

// Torus returns a torus about the z axis with a tube of radius r on a circle of
// radius big: 2·nu·nv faces, nu·nv vertices, closed, wound outward.
func Torus(big, r float64, nu, nv int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range nu {
		su, cu := math.Sincos(2 * math.Pi * float64(i) / float64(nu))
		for j := range nv {
			sv, cv := math.Sincos(2 * math.Pi * float64(j) / float64(nv))
			m.Pos = append(m.Pos, r3.V((big+r*cv)*cu, (big+r*cv)*su, r*sv))
		}
	}
	id := func(i, j int) mesh.VertexID { return mesh.VertexID(i%nu*nv + j%nv) }
	for i := range nu {
		for j := range nv {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
		}
	}
	return m
}

// Plate returns the part of an nx by ny grid of square cells of the given side,
// in the plane z = 0 with its normal along +z, whose cells are not holes. Two
// triangles a cell; nil means no holes. Holes that share only a corner make a
// bow-tie there.
func Plate(nx, ny int, side float64, hole func(i, j int) bool) *mesh.Mesh {
	s := mesh.Soup{Tri: [][3]int32{}}
	for j := range ny + 1 {
		for i := range nx + 1 {
			s.Pos = append(s.Pos, r3.V(float64(i)*side, float64(j)*side, 0))
		}
	}
	id := func(i, j int) int32 { return int32(j*(nx+1) + i) }
	for j := range ny {
		for i := range nx {
			if hole != nil && hole(i, j) {
				continue
			}
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			s.Tri = append(s.Tri, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	m, _ := mesh.Build(s)
	return m
}

// Unweld returns the corners of the faces one after another, as STL holds them.
func Unweld(m *mesh.Mesh) mesh.Soup {
	s := mesh.Soup{Pos: make([]r3.Vec, 0, 3*len(m.Tri))}
	for f := range mesh.FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		s.Pos = append(s.Pos, a, b, c)
	}
	return s
}

// Indexed returns the mesh as an indexed soup.
func Indexed(m *mesh.Mesh) mesh.Soup {
	s := mesh.Soup{Pos: m.Pos, Color: m.Color, Tri: make([][3]int32, len(m.Tri))}
	for f, t := range m.Tri {
		s.Tri[f] = [3]int32{int32(t[0]), int32(t[1]), int32(t[2])}
	}
	return s
}

// Shuffled returns m with its faces in another order, each starting at another
// corner; the surface is the same.
func Shuffled(m *mesh.Mesh, rng *rand.Rand) *mesh.Mesh {
	out := &mesh.Mesh{Pos: m.Pos, Color: m.Color, Tri: make([][3]mesh.VertexID, len(m.Tri))}
	for i, f := range rng.Perm(len(m.Tri)) {
		t, k := m.Tri[f], rng.IntN(3)
		out.Tri[i] = [3]mesh.VertexID{t[k], t[(k+1)%3], t[(k+2)%3]}
	}
	return out
}

// Single returns m with its coordinates rounded to float32, as a binary file
// holds them.
func Single(m *mesh.Mesh) *mesh.Mesh {
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		pos[i] = r3.V(float64(float32(p.X)), float64(float32(p.Y)), float64(float32(p.Z)))
	}
	return &mesh.Mesh{Pos: pos, Tri: m.Tri, Color: m.Color}
}

// Painted returns m with a colour at each vertex that differs between
// neighbours.
func Painted(m *mesh.Mesh) *mesh.Mesh {
	c := make([]mesh.RGB, len(m.Pos))
	for v := range c {
		c[v] = mesh.RGB{uint8(v), uint8(v / 7), uint8(255 - v%256)}
	}
	return &mesh.Mesh{Pos: m.Pos, Tri: m.Tri, Color: c}
}
