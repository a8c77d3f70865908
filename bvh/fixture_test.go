package bvh_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

var seedFlag = flag.Uint64("seed", 1, "seed of the generated meshes and queries")

func rng(tb testing.TB, salt uint64) *rand.Rand {
	tb.Logf("seed %d", *seedFlag)
	return rand.New(rand.NewPCG(*seedFlag, salt))
}

func unitBall(r *rand.Rand) r3.Vec {
	for {
		p := r3.V(2*r.Float64()-1, 2*r.Float64()-1, 2*r.Float64()-1)
		if n := p.Norm2(); n <= 1 && n > 0 {
			return p
		}
	}
}

// sheet is an n×n grid of squares, each cut in two, at the height h(x, y) over
// [0, size]². Its winding faces up.
func sheet(n int, size float64, h func(x, y float64) float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for j := range n + 1 {
		for i := range n + 1 {
			x, y := size*float64(i)/float64(n), size*float64(j)/float64(n)
			m.Pos = append(m.Pos, r3.V(x, y, h(x, y)))
		}
	}
	id := func(i, j int) mesh.VertexID { return mesh.VertexID(j*(n+1) + i) }
	for j := range n {
		for i := range n {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
		}
	}
	return m
}

func level(_, _ float64) float64 { return 0 }

func bumpy(x, y float64) float64 { return 0.5*math.Sin(1.3*x)*math.Cos(0.9*y) + 0.2*math.Sin(4*y) }

// globe is a closed sphere of radius r about c: rings of latitude, poles included.
func globe(n int, c r3.Vec, r float64) *mesh.Mesh {
	m := &mesh.Mesh{Pos: []r3.Vec{c.Add(r3.V(0, 0, r)), c.Add(r3.V(0, 0, -r))}}
	id := func(i, j int) mesh.VertexID {
		switch i {
		case 0:
			return 0
		case n:
			return 1
		}
		return mesh.VertexID(2 + (i-1)*2*n + j%(2*n))
	}
	for i := 1; i < n; i++ {
		for j := range 2 * n {
			s, k := math.Sincos(math.Pi * float64(i) / float64(n))
			sj, kj := math.Sincos(math.Pi * float64(j) / float64(n))
			m.Pos = append(m.Pos, c.Add(r3.V(s*kj, s*sj, k).Scale(r)))
		}
	}
	for i := range n {
		for j := range 2 * n {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			if a != d {
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d})
			}
			if b != c {
				m.Tri = append(m.Tri, [3]mesh.VertexID{b, c, d})
			}
		}
	}
	return m
}

// shreds is n loose triangles of sizes from 1e-6 to 1, some of them degenerate: a
// repeated corner, three corners in line, slivers, doubles of one another.
func shreds(r *rand.Rand, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		a := unitBall(r)
		size := math.Pow(10, -6*r.Float64())
		b, c := a.AddScaled(size, unitBall(r)), a.AddScaled(size, unitBall(r))
		switch i % 9 {
		case 4:
			b = a
		case 5:
			c = a.Lerp(b, 2*r.Float64()-0.5)
		case 6:
			c = a.Lerp(b, r.Float64()).AddScaled(1e-9*size, unitBall(r))
		case 7:
			a, b, c = m.Pos[0], m.Pos[1], m.Pos[2]
		case 8:
			a.Z, b.Z, c.Z = 0.25, 0.25, 0.25
		}
		k := mesh.VertexID(len(m.Pos))
		m.Pos = append(m.Pos, a, b, c)
		m.Tri = append(m.Tri, [3]mesh.VertexID{k, k + 1, k + 2})
	}
	return m
}

// nested is triangles each a tenth of the last, all about the origin: the tree that
// splits by area alone would be as deep as they are many.
func nested(n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		s := math.Pow(0.7, float64(i))
		k := mesh.VertexID(3 * i)
		m.Pos = append(m.Pos, r3.V(s, 0, 0), r3.V(1.1*s, s, 0), r3.V(s, 0, s))
		m.Tri = append(m.Tri, [3]mesh.VertexID{k, k + 1, k + 2})
	}
	return m
}

type named struct {
	name string
	mesh *mesh.Mesh
}

func meshes(tb testing.TB) []named {
	r := rng(tb, 1)
	far := r3.Rigid{R: r3.Rotation(r3.V(0, 0.6, 0.8), 1), T: r3.V(3e4, -2e5, 1e3)}
	one := &mesh.Mesh{Pos: []r3.Vec{{X: 0, Y: 0, Z: 0}, {X: 1, Y: 0, Z: 0}, {X: 0, Y: 2, Z: 0}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
	point := &mesh.Mesh{Pos: make([]r3.Vec, 3), Tri: [][3]mesh.VertexID{{0, 1, 2}, {2, 1, 0}}}
	return []named{
		{"empty", &mesh.Mesh{}},
		{"one", one},
		{"one point", point},
		{"flat sheet", sheet(16, 4, level)},
		{"bumpy sheet", sheet(30, 10, bumpy)},
		{"globe", globe(12, r3.V(1, 2, 3), 2)},
		{"globe far away", globe(12, r3.V(1, 2, 3), 2).Moved(far)},
		{"tiny globe", globe(8, r3.V(1, 2, 3), 2).Scaled(1e-9)},
		{"huge globe", globe(8, r3.V(1, 2, 3), 2).Scaled(1e9)},
		{"shreds", shreds(r, 600)},
		{"nested", nested(700)},
		{"one outlier", withOutlier(sheet(20, 5, bumpy))},
	}
}

func withOutlier(m *mesh.Mesh) *mesh.Mesh {
	k := mesh.VertexID(len(m.Pos))
	m.Pos = append(m.Pos, r3.V(1e6, 0, 0), r3.V(1e6, 1, 0), r3.V(1e6, 0, 1))
	m.Tri = append(m.Tri, [3]mesh.VertexID{k, k + 1, k + 2})
	return m
}

// places are points to ask about: corners, middles of edges and faces, points at all
// distances, some beyond reason.
func places(r *rand.Rand, m *mesh.Mesh, n int) []r3.Vec {
	box := r3.BoxOf(r3.V(0, 0, 0), r3.V(1, 1, 1))
	if len(m.Pos) > 0 {
		box = m.Box()
	}
	size := max(box.Longest(), 1e-12)
	pts := []r3.Vec{{}, box.Center(), box.Min, box.Max.AddScaled(1e7, r3.V(1, 1, 1)), {X: 1e200}, {X: math.Inf(1)}, {Y: math.NaN()}}
	for i := range n {
		base := box.Min.Add(r3.V(r.Float64()*box.Size().X, r.Float64()*box.Size().Y, r.Float64()*box.Size().Z))
		if len(m.Tri) > 0 && i%2 == 0 {
			a, b, c := m.Corners(mesh.FaceID(r.IntN(len(m.Tri))))
			base = [4]r3.Vec{a, a.Lerp(b, 0.5), a.Add(b).Add(c).Scale(1.0 / 3), c.Lerp(b, r.Float64())}[r.IntN(4)]
		}
		off := size * math.Pow(10, 3-9*r.Float64())
		if i%3 == 0 {
			off = 0
		}
		pts = append(pts, base.AddScaled(off, unitBall(r)))
	}
	return pts
}
