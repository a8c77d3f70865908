package outside

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// castMesh returns a real plaster cast in mm.
func castMesh(t *testing.T, jaw tooth.Jaw) *mesh.Mesh {
	t.Helper()
	root := os.Getenv("SELVAGE_DATA")
	if root == "" {
		root = "../../../shared/data"
	}
	data, err := os.ReadFile(filepath.Join(root, "casts", string(jaw)+"teeth.obj"))
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the real scans are missing: %v", err)
		}
		t.Skipf("SKIPPED: the real scans are missing (set SELVAGE_DATA): %v", err)
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := mesh.Build(soup)
	return m.Scaled(1000) // the files are in metres
}

// loop subdivides a mesh once by the rule of Loop (1987): the casts were scanned every
// 0.6 mm, and the flat faces of so coarse a mesh are no tooth.
func loop(m *mesh.Mesh) *mesh.Mesh {
	topo := mesh.NewTopology(m)
	pos := make([]r3.Vec, len(m.Pos))
	var ring []mesh.VertexID
	for v := range m.Pos {
		p := m.Pos[v]
		if topo.OnBoundary(mesh.VertexID(v)) {
			pos[v] = p
			continue
		}
		ring = topo.OneRing(ring[:0], mesh.VertexID(v))
		n := float64(len(ring))
		if n < 3 {
			pos[v] = p
			continue
		}
		c := 3.0/8 + math.Cos(2*math.Pi/n)/4
		beta := (5.0/8 - c*c) / n
		sum := r3.Vec{}
		for _, w := range ring {
			sum = sum.Add(m.Pos[w])
		}
		pos[v] = p.Scale(1 - n*beta).Add(sum.Scale(beta))
	}
	type edge struct{ a, b mesh.VertexID }
	type side struct {
		sum r3.Vec
		n   int
	}
	opposite := map[edge]side{}
	key := func(a, b mesh.VertexID) edge { return edge{min(a, b), max(a, b)} }
	for _, f := range m.Tri {
		for i := range 3 {
			k := key(f[i], f[(i+1)%3])
			s := opposite[k]
			opposite[k] = side{s.sum.Add(m.Pos[f[(i+2)%3]]), s.n + 1}
		}
	}
	mid := map[edge]mesh.VertexID{}
	var faces [][3]mesh.VertexID
	for _, f := range m.Tri {
		var e [3]mesh.VertexID
		for i := range 3 {
			k := key(f[i], f[(i+1)%3])
			id, ok := mid[k]
			if !ok {
				p := m.Pos[k.a].Add(m.Pos[k.b])
				if s := opposite[k]; s.n == 2 {
					p = p.Scale(3.0 / 8).Add(s.sum.Scale(1.0 / 8))
				} else {
					p = p.Scale(0.5)
				}
				id = mesh.VertexID(len(pos))
				pos = append(pos, p)
				mid[k] = id
			}
			e[i] = id
		}
		faces = append(faces, [3]mesh.VertexID{f[0], e[0], e[2]}, [3]mesh.VertexID{e[0], f[1], e[1]},
			[3]mesh.VertexID{e[2], e[1], f[2]}, [3]mesh.VertexID{e[0], e[1], e[2]})
	}
	return &mesh.Mesh{Pos: pos, Tri: faces}
}

// scanned is a scanned surface as a field.
type scanned struct{ tree *bvh.Tree }

func (s scanned) At(p r3.Vec) solid.Sample {
	n, ok := s.tree.Nearest(p, math.Inf(1))
	if !ok {
		return solid.Sample{D: 1e3}
	}
	d, _ := s.tree.SignedDistance(p, math.Inf(1))
	g := s.tree.Mesh.AreaVector(n.Face).UnitOr(r3.V(0, 0, 1))
	if n.D > 1e-4 {
		g = p.Sub(n.Point).Scale(1 / d)
	}
	return solid.Sample{D: d, N: g}
}
