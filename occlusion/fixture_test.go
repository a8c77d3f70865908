package occlusion

import (
	"math"
	"math/rand/v2"

	"selvage/bvh"
	"selvage/curve"
	"selvage/mesh"
	"selvage/r3"
)

// field returns the surface z = f(x, y) over a square of half width w about (cx,
// cy), triangulated at the given step with rows shifted by half a step, outside up.
// Where f is NaN there is no surface.
func field(cx, cy, w, step float64, f func(x, y float64) float64) *mesh.Mesh {
	n := int(2 * w / step)
	m := &mesh.Mesh{}
	id := make([][]mesh.VertexID, n)
	for j := range n {
		id[j] = make([]mesh.VertexID, n)
		for i := range n {
			x := cx - w + (float64(i)+0.5*float64(j%2))*step
			y := cy - w + float64(j)*step
			id[j][i] = mesh.None
			if z := f(x, y); !math.IsNaN(z) {
				id[j][i] = mesh.VertexID(len(m.Pos))
				m.Pos = append(m.Pos, r3.V(x, y, z))
			}
		}
	}
	add := func(a, b, c mesh.VertexID) {
		if a != mesh.None && b != mesh.None && c != mesh.None {
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c})
		}
	}
	for j := range n - 1 {
		for i := range n - 1 {
			a, b, c, d := id[j][i], id[j][i+1], id[j+1][i], id[j+1][i+1]
			if j%2 == 0 {
				add(a, b, c)
				add(b, d, c)
			} else {
				add(a, b, d)
				add(a, d, c)
			}
		}
	}
	return m
}

// under returns the mesh with its outside turned down, as an opposing arch's is.
func under(m *mesh.Mesh) *mesh.Mesh { return m.Flipped() }

// ball returns the lower side of a ball as a height field, outside down, out to
// share of its radius.
func ball(c r3.Vec, r, share, step float64) *mesh.Mesh {
	return under(field(c.X, c.Y, share*r, step, func(x, y float64) float64 {
		d2 := (x-c.X)*(x-c.X) + (y-c.Y)*(y-c.Y)
		if d2 > share*share*r*r {
			return math.NaN()
		}
		return c.Z - math.Sqrt(r*r-d2)
	}))
}

// die is a round preparation about the z axis: a margin of radius 5 at z = 0, a
// wall up to the rim of a table of radius 4 at height 4, and top(ρ) added on it. The
// grid lies a little aside, so that no vertex stands on a limit between zones.
func die(step float64, top func(rho float64) float64) (*mesh.Mesh, curve.Polyline) {
	m := field(0.013, 0.007, 6, step, func(x, y float64) float64 {
		rho := math.Hypot(x, y)
		switch {
		case rho > 5.9:
			return math.NaN()
		case rho > 5:
			return -3 * (rho - 5) // the root
		case rho > 4:
			return 4 * (5 - rho)
		default:
			return 4 + top(rho)
		}
	})
	c := curve.Polyline{Closed: true}
	for i := range 360 {
		s, co := math.Sincos(2 * math.Pi * float64(i) / 360)
		c.Pts = append(c.Pts, r3.V(5*co, 5*s, 0))
	}
	return m, c
}

func flat(float64) float64 { return 0 }

// noisy returns m with every vertex moved by gaussian noise in each direction.
func noisy(m *mesh.Mesh, sigma float64, seed uint64) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := &mesh.Mesh{Pos: make([]r3.Vec, len(m.Pos)), Tri: m.Tri}
	for i, p := range m.Pos {
		out.Pos[i] = p.Add(r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).Scale(sigma))
	}
	return out
}

// join returns one mesh of several, unconnected.
func join(parts ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range parts {
		base := mesh.VertexID(len(out.Pos))
		out.Pos = append(out.Pos, m.Pos...)
		for _, t := range m.Tri {
			out.Tri = append(out.Tri, [3]mesh.VertexID{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	return out
}

func scan(m *mesh.Mesh) Scan { return Scan{Mesh: m, Tree: bvh.Build(m)} }

var up = r3.V(0, 0, 1)

// odd is a motion without symmetry, for tests of invariance.
var odd = r3.Rigid{R: r3.Rotation(r3.V(1, 2, -3).UnitOr(up), 0.9), T: r3.V(12, -40, 7)}
