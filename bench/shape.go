package main

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"selvage/mesh"
	"selvage/r3"
)

// ridge is a bumpy ridge along a parabola, as open as a scan and as uneven: s runs along
// it and t across it, -1 to 1 both.
func ridge(s, t float64) r3.Vec {
	a := 1.25 * s
	along := r3.V(26*math.Sin(a), 34*(1-math.Cos(a)), 0)
	side := r3.V(-math.Sin(0.9*a), math.Cos(0.9*a), 0)
	crown := math.Exp(-math.Pow(math.Abs(t)/0.6, 4))
	h := crown * (6 + 1.1*math.Cos(22*a) + 0.5*math.Sin(9*t+5*a)*math.Cos(37*a))
	h += 0.25*math.Sin(13*t)*math.Sin(29*a+t) + 0.03*math.Sin(61*t)*math.Sin(173*a)
	lean := 7*t + 0.9*math.Sin(3*t)*crown
	return along.AddScaled(lean, side).Add(r3.V(0, 0, h))
}

// ridgeMesh is the ridge in about n triangles, jittered, cut at random along one
// diagonal or the other, with two holes. Its coordinates are single precision, as a
// scan's file holds them, so that every reader has the same points.
func ridgeMesh(n int) *mesh.Mesh {
	rng := rand.New(rand.NewPCG(uint64(n), 3))
	nt := int(math.Sqrt(float64(n) / 2 / 4.6))
	ns := n / 2 / nt
	at := func(i, j int) r3.Vec {
		jog := func(k, most int) float64 {
			if k == 0 || k == most {
				return 0
			}
			return 0.44 * (rng.Float64() - 0.5)
		}
		p := ridge(2*(float64(i)+jog(i, ns))/float64(ns)-1, 2*(float64(j)+jog(j, nt))/float64(nt)-1)
		return r3.V(float64(float32(p.X)), float64(float32(p.Y)), float64(float32(p.Z)))
	}
	all := make([]r3.Vec, 0, (ns+1)*(nt+1))
	for i := range ns + 1 {
		for j := range nt + 1 {
			all = append(all, at(i, j))
		}
	}
	whole := &mesh.Mesh{Pos: all}
	hole := func(i, j int) bool {
		s, t := 2*float64(i)/float64(ns)-1, 2*float64(j)/float64(nt)-1
		return math.Hypot((s-0.31)/0.03, (t-0.2)/0.2) < 1 || math.Hypot((s+0.42)/0.02, (t+0.5)/0.15) < 1
	}
	for i := range ns {
		for j := range nt {
			if hole(i, j) {
				continue
			}
			a := mesh.VertexID(i*(nt+1) + j)
			b, c, d := a+mesh.VertexID(nt+1), a+mesh.VertexID(nt+2), a+1
			if rng.IntN(2) == 0 {
				whole.Tri = append(whole.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
			} else {
				whole.Tri = append(whole.Tri, [3]mesh.VertexID{a, b, d}, [3]mesh.VertexID{b, c, d})
			}
		}
	}
	m, _, _ := mesh.Submesh(whole, func(mesh.FaceID) bool { return true })
	return m
}

// tasks are the queries that rivals and ours are asked.
type tasks struct {
	near, shuffled []r3.Vec // 0.4 to 1.7 mm off the surface: in the order of the faces, and not
	parallel       []r3.Vec // origins and directions in turn: a grid from above
	anyhow         []r3.Vec // the same: from anywhere in the box in any direction
	moved          []r3.Vec // points of the surface, moved
	back           r3.Rigid // the motion that lays them on it again
}

func single(p r3.Vec) r3.Vec {
	return r3.V(float64(float32(p.X)), float64(float32(p.Y)), float64(float32(p.Z)))
}

func tasksOn(m *mesh.Mesh) tasks {
	rng := rand.New(rand.NewPCG(17, 4))
	var t tasks
	for k := range queries {
		f := k * len(m.Tri) / queries
		n := m.AreaVector(mesh.FaceID(f)).UnitOr(r3.V(0, 0, 1))
		off := 1.05 + 0.65*math.Sin(float64(f)/7000)
		t.near = append(t.near, single(m.Centroid(mesh.FaceID(f)).AddScaled(off, n)))
	}
	for _, i := range rng.Perm(len(t.near)) {
		t.shuffled = append(t.shuffled, t.near[i])
	}
	box, side := m.Box(), int(math.Sqrt(queries))
	size := box.Size()
	for i := range side * side {
		x := box.Min.X + size.X*(float64(i%side)+0.5)/float64(side)
		y := box.Min.Y + size.Y*(float64(i/side)+0.5)/float64(side)
		t.parallel = append(t.parallel, single(r3.V(x, y, box.Max.Z+5)), r3.V(0, 0, -1))
	}
	for range queries {
		p := box.Min.Add(r3.V(rng.Float64()*size.X, rng.Float64()*size.Y, rng.Float64()*size.Z))
		d := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).UnitOr(r3.V(0, 0, 1))
		t.anyhow = append(t.anyhow, single(p), single(d))
	}
	t.back = r3.Rigid{R: r3.Rotation(r3.V(0.48, 0.6, 0.64), 0.02), T: r3.V(0.3, -0.2, 0.25)}
	away := t.back.Inverse()
	for range 50_000 {
		f := mesh.FaceID(rng.IntN(len(m.Tri)))
		a, b, c := m.Corners(f)
		u, v := rng.Float64(), rng.Float64()
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		n := m.AreaVector(f).UnitOr(r3.V(0, 0, 1))
		p := a.AddScaled(u, b.Sub(a)).AddScaled(v, c.Sub(a)).AddScaled(0.01*rng.NormFloat64(), n)
		t.moved = append(t.moved, single(away.Point(p)))
	}
	return t
}

// save writes mesh and tasks for the rivals: binary STL, binary PLY with colours, and
// plain arrays (counts, then single precision points, then indices).
func save(dir string, m *mesh.Mesh, t tasks) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	files := []struct {
		name  string
		write func(w io.Writer)
	}{
		{"mesh.stl", func(w io.Writer) { writeSTL(w, m) }},
		{"mesh.ply", func(w io.Writer) { writePLY(w, m) }},
		{"mesh.raw", func(w io.Writer) { put(w, uint32(len(m.Pos)), uint32(len(m.Tri)), floats(m.Pos), m.Tri) }},
		{"near.raw", func(w io.Writer) { put(w, uint32(len(t.near)), floats(t.near)) }},
		{"shuffled.raw", func(w io.Writer) { put(w, uint32(len(t.shuffled)), floats(t.shuffled)) }},
		{"parallel.raw", func(w io.Writer) { put(w, uint32(len(t.parallel)), floats(t.parallel)) }},
		{"anyhow.raw", func(w io.Writer) { put(w, uint32(len(t.anyhow)), floats(t.anyhow)) }},
		{"moved.raw", func(w io.Writer) { put(w, uint32(len(t.moved)), floats(t.moved)) }},
	}
	for _, f := range files {
		if err := writeFile(filepath.Join(dir, f.name), f.write); err != nil {
			return err
		}
	}
	return nil
}

func writeFile(path string, write func(w io.Writer)) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	write(w)
	if err := w.Flush(); err != nil { // holds the first error of all writes
		_ = f.Close()
		return err
	}
	return f.Close()
}

// put writes values in little-endian order; a writer's error is met at its flush.
func put(w io.Writer, values ...any) {
	for _, v := range values {
		_ = binary.Write(w, binary.LittleEndian, v)
	}
}

func floats(pts []r3.Vec) []float32 {
	out := make([]float32, 0, 3*len(pts))
	for _, p := range pts {
		out = append(out, float32(p.X), float32(p.Y), float32(p.Z))
	}
	return out
}

func writeSTL(w io.Writer, m *mesh.Mesh) {
	put(w, [80]byte{'r', 'i', 'd', 'g', 'e'}, uint32(len(m.Tri)))
	for f := range mesh.FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		n := m.AreaVector(f).UnitOr(r3.Vec{})
		put(w, floats([]r3.Vec{n, a, b, c}), uint16(0))
	}
}

func writePLY(w io.Writer, m *mesh.Mesh) {
	_, _ = fmt.Fprintf(w, "ply\nformat binary_little_endian 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n"+
		"property uchar red\nproperty uchar green\nproperty uchar blue\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n", len(m.Pos), len(m.Tri))
	for i, p := range m.Pos {
		put(w, floats([]r3.Vec{p}), [3]byte{byte(i), byte(i >> 8), byte(i >> 16)})
	}
	for _, t := range m.Tri {
		put(w, byte(3), t)
	}
}
