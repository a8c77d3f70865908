// Package meshtest makes small meshes with exact truth for tests: solids of
// revolution with filleted profiles, bumpy sheets, and noise along the normal.
// Only tests import it. For whole mouths use package phantom.
package meshtest

import (
	"math"
	"math/rand/v2"

	"selvage/mesh"
	"selvage/r3"
)

// Knot is a corner of a lathe's profile in the half-plane (ρ, z), rounded with a
// circle of radius R that touches both its edges.
type Knot struct{ Rho, Z, R float64 }

// Crest returns the middle of the rounding of knot i: the point on the bisector.
func Crest(k []Knot, i int) (rho, z float64) {
	c := fillet(k[i-1], k[i], k[i+1])
	return c.mid[0], c.mid[1]
}

type arc struct {
	centre, mid [2]float64
	r           float64
	from, sweep float64
	in, out     [2]float64
}

func fillet(a, b, c Knot) arc {
	ux, uz := unit(a.Rho-b.Rho, a.Z-b.Z)
	vx, vz := unit(c.Rho-b.Rho, c.Z-b.Z)
	half := math.Acos(ux*vx+uz*vz) / 2
	if b.R == 0 || half > math.Pi/2-1e-9 {
		p := [2]float64{b.Rho, b.Z}
		return arc{mid: p, in: p, out: p}
	}
	t := b.R / math.Tan(half)
	mx, mz := unit(ux+vx, uz+vz)
	d := b.R / math.Sin(half)
	o := [2]float64{b.Rho + d*mx, b.Z + d*mz}
	f := arc{centre: o, r: b.R, mid: [2]float64{o[0] - b.R*mx, o[1] - b.R*mz}}
	f.in = [2]float64{b.Rho + t*ux, b.Z + t*uz}
	f.out = [2]float64{b.Rho + t*vx, b.Z + t*vz}
	f.from = math.Atan2(f.in[1]-o[1], f.in[0]-o[0])
	to := math.Atan2(f.out[1]-o[1], f.out[0]-o[0])
	f.sweep = math.Remainder(to-f.from, 2*math.Pi)
	return f
}

func unit(x, y float64) (float64, float64) {
	l := math.Hypot(x, y)
	return x / l, y / l
}

// profile samples the rounded polygon densely.
func profile(k []Knot) (pts [][2]float64) {
	pts = append(pts, [2]float64{k[0].Rho, k[0].Z})
	for i := 1; i < len(k)-1; i++ {
		f := fillet(k[i-1], k[i], k[i+1])
		pts = append(pts, f.in)
		for j := 1; f.r > 0 && j <= 40; j++ {
			a := f.from + f.sweep*float64(j)/40
			pts = append(pts, [2]float64{f.centre[0] + f.r*math.Cos(a), f.centre[1] + f.r*math.Sin(a)})
		}
	}
	return append(pts, [2]float64{k[len(k)-1].Rho, k[len(k)-1].Z})
}

// Warp moves a point of revolution (ρ, φ, z) to its final place.
type Warp func(rho, phi, z float64) r3.Vec

// Round is the warp of a plain solid of revolution.
func Round(rho, phi, z float64) r3.Vec {
	return r3.V(rho*math.Cos(phi), rho*math.Sin(phi), z)
}

// Lathe revolves a profile that starts on the axis and returns the mesh, wound
// outward, with rings of vertices about spacing apart and staggered at random. The
// first knot must have Rho 0.
func Lathe(k []Knot, spacing float64, seed uint64, warp Warp) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 1))
	pts := profile(k)
	var rings [][2]float64
	next := spacing * (0.5 + rng.Float64())
	var s, far float64
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		for next <= s+l {
			t := (next - s) / l
			rings = append(rings, [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
			far = max(far, a[0])
			next += spacing * 0.87
		}
		s += l
	}
	n := int(2 * math.Pi * far * 0.7 / spacing)
	m := &mesh.Mesh{Pos: []r3.Vec{warp(0, 0, k[0].Z)}}
	for i, r := range rings {
		stagger := float64(i%2) / 2
		for j := range n {
			phi := 2 * math.Pi * (float64(j) + stagger + 0.2*(rng.Float64()-0.5)) / float64(n)
			m.Pos = append(m.Pos, warp(r[0], phi, r[1]))
		}
	}
	id := func(ring, j int) mesh.VertexID { return mesh.VertexID(1 + ring*n + (j%n+n)%n) }
	for j := range n {
		m.Tri = append(m.Tri, [3]mesh.VertexID{0, id(0, j), id(0, j+1)})
		for i := 1; i < len(rings); i++ {
			o := i % 2
			a, b, c, d := id(i-1, j), id(i-1, j+1), id(i, j), id(i, j+1)
			if o == 1 { // this ring is staggered forward
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, c, b}, [3]mesh.VertexID{b, c, d})
			} else {
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, c, d}, [3]mesh.VertexID{a, d, b})
			}
		}
	}
	return m
}

// Rough returns m with gaussian noise of the given standard deviation along the
// vertex normals.
func Rough(m *mesh.Mesh, sigma float64, seed uint64) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(seed, 2))
	nrm := make([]r3.Vec, len(m.Pos))
	for f, t := range m.Tri {
		a := m.AreaVector(mesh.FaceID(f))
		for _, v := range t {
			nrm[v] = nrm[v].Add(a)
		}
	}
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		u, _ := nrm[i].Unit()
		pos[i] = p.AddScaled(sigma*rng.NormFloat64(), u)
	}
	return &mesh.Mesh{Pos: pos, Tri: m.Tri}
}
