package packed

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"pgregory.net/rapid"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
)

// stump is a made preparation of about 2·(8/spacing·10)² triangles.
func stump(spacing float64) *mesh.Mesh {
	return meshtest.Lathe(meshtest.DefaultStump().Knots(), spacing, 3, meshtest.Round)
}

// heights is a value per vertex with a gap in it.
func heights(m *mesh.Mesh) Value {
	v := Value{Name: "height", Of: make([]float64, len(m.Pos))}
	for i, p := range m.Pos {
		if v.Of[i] = p.Z; p.X > 2 {
			v.Of[i] = math.NaN()
		}
	}
	return v
}

// checkSame holds what was read back against what went in, triangle by triangle:
// every triangle of m once, in the same winding, within the stated error.
func checkSame(t testing.TB, m *mesh.Mesh, values []Value, s Surface) {
	t.Helper()
	c := walk(m)
	if len(s.Mesh.Tri) != len(m.Tri) || len(s.Mesh.Pos) != len(c.first) {
		t.Fatalf("%d triangles over %d vertices, want %d over %d", len(s.Mesh.Tri), len(s.Mesh.Pos), len(m.Tri), len(c.first))
	}
	for i, v := range c.first {
		d := s.Mesh.Pos[i].Sub(m.Pos[v])
		if worst := max(math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)); worst > s.Step/2*(1+1e-6) {
			t.Fatalf("vertex %d is off by %g mm, more than half of %g", i, worst, s.Step)
		}
		if m.Color != nil && s.Mesh.Color[i] != m.Color[v] {
			t.Fatalf("vertex %d has colour %v, want %v", i, s.Mesh.Color[i], m.Color[v])
		}
		for k := range values {
			want, got := values[k].Of[v], s.Values[k].Of[i]
			if math.IsNaN(want) != math.IsNaN(got) || math.Abs(want-got) > s.Values[k].Step/2*(1+1e-6) {
				t.Fatalf("vertex %d has %s %g, want %g within %g", i, values[k].Name, got, want, s.Values[k].Step/2)
			}
		}
	}
	count := map[[3]mesh.VertexID]int{}
	for _, tri := range m.Tri {
		count[turned(tri)]++
	}
	for _, tri := range s.Mesh.Tri {
		count[turned([3]mesh.VertexID{mesh.VertexID(c.first[tri[0]]), mesh.VertexID(c.first[tri[1]]), mesh.VertexID(c.first[tri[2]])})]--
	}
	for tri, n := range count {
		if n != 0 {
			t.Fatalf("triangle %v came out %d times too rarely", tri, n)
		}
	}
}

// turned puts the lowest corner first and keeps the winding.
func turned(t [3]mesh.VertexID) [3]mesh.VertexID {
	for t[0] > t[1] || t[0] > t[2] {
		t = [3]mesh.VertexID{t[1], t[2], t[0]}
	}
	return t
}

func TestWhatGoesInComesOut(t *testing.T) {
	rough := meshtest.Painted(meshtest.Rough(stump(0.15), 0.01, 5))
	away := rough.Moved(r3.Rigid{R: r3.Rotation(r3.V(1, 2, 3), 1), T: r3.V(-4000, 1e4, 7)})
	for _, m := range []*mesh.Mesh{
		{},
		meshtest.Single(stump(1)), meshtest.Sphere(3, 40), meshtest.Torus(20, 4, 60, 20),
		meshtest.Plate(30, 20, 0.1, func(i, j int) bool { return i == j }), rough, away,
		meshtest.Sphere(400, 30), // wider than 65,535 steps
		meshtest.Shuffled(rough, rand.New(rand.NewPCG(1, 2))),
	} {
		values := []Value{heights(m), {Name: "", Step: 0.1, Of: make([]float64, len(m.Pos))}}
		data := Encode(m, values)
		s, err := Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		checkSame(t, m, values, s)
		if !bytes.Equal(data, Encode(m, values)) {
			t.Fatal("the same mesh gave other bytes")
		}
	}
}

// TestAnyTriangles lets random triangles, many of them degenerate or meeting in
// edges of three, through and back.
func TestAnyTriangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "vertices")
		m := &mesh.Mesh{}
		for range n {
			x := rapid.Float64Range(-100, 100)
			m.Pos = append(m.Pos, r3.V(x.Draw(t, "x"), x.Draw(t, "y"), x.Draw(t, "z")))
		}
		id := rapid.IntRange(0, n-1)
		for range rapid.IntRange(0, 30).Draw(t, "triangles") {
			m.Tri = append(m.Tri, [3]mesh.VertexID{mesh.VertexID(id.Draw(t, "a")), mesh.VertexID(id.Draw(t, "b")), mesh.VertexID(id.Draw(t, "c"))})
		}
		c := walk(m)
		s, err := Decode(Encode(m, nil))
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Mesh.Tri) != len(m.Tri) || len(s.Mesh.Pos) != len(c.first) {
			t.Fatalf("%d triangles over %d vertices came out as %d over %d", len(m.Tri), len(c.first), len(s.Mesh.Tri), len(s.Mesh.Pos))
		}
		for i, v := range c.first {
			if d := s.Mesh.Pos[i].Dist(m.Pos[v]); d > s.Step {
				t.Fatalf("vertex %d is off by %g mm", v, d)
			}
		}
	})
}

// TestSizeAndNeighbours bounds what a noisy scan takes, and checks that the order of
// sending does what it is for: most triangles lie beside the one before.
func TestSizeAndNeighbours(t *testing.T) {
	m := meshtest.Rough(stump(0.1), 0.01, 7)
	data := Encode(m, nil)
	// A binary STL takes 50 bytes for a triangle. Noise of 10 µm in steps of 4 µm is
	// worth about 3.3 bits a coordinate, 5 bits a triangle, that nothing can remove.
	per := float64(len(data)) / float64(len(m.Tri))
	if per > 2.6 {
		t.Errorf("%.2f bytes for a triangle, more than 2.6", per)
	}
	c := walk(m)
	beside := 0
	for k := 1; k < len(c.tri); k++ {
		shared := 0
		for _, v := range c.tri[k] {
			for _, w := range c.tri[k-1] {
				if v == w {
					shared++
				}
			}
		}
		if shared == 2 {
			beside++
		}
	}
	share := float64(beside) / float64(len(c.tri))
	t.Logf("%d triangles: %.2f bytes each, %.0f times smaller than STL; %.0f %% beside the one before", len(m.Tri), per, 50/per, 100*share)
	if share < 0.8 {
		t.Errorf("only %.0f %% of the triangles share an edge with the one before", 100*share)
	}
}

func TestCoarse(t *testing.T) {
	m := meshtest.Painted(meshtest.Rough(stump(0.07), 0.01, 9))
	v := heights(m)
	const target = 9000
	twin, values := Coarse(m, []Value{v}, target)
	if n := len(twin.Tri); n < target*7/10 || n > target*13/10 {
		t.Errorf("%d triangles, want about %d", n, target)
	}
	if d := twin.Box().Center().Dist(m.Box().Center()); d > 0.1 {
		t.Errorf("the twin's middle is off by %.3f mm", d)
	}
	if got, want := area(twin), area(m); math.Abs(got/want-1) > 0.08 { // noise makes the fine one larger
		t.Errorf("the twin has %.1f mm², the mesh %.1f", got, want)
	}
	for i, p := range twin.Pos {
		if h := values[0].Of[i]; !math.IsNaN(h) && math.Abs(h-p.Z) > 0.2 {
			t.Fatalf("the twin's value is %g at height %g", h, p.Z)
		}
	}
	if len(twin.Color) != len(twin.Pos) {
		t.Error("the twin lost its colours")
	}
	if same, _ := Coarse(m, nil, len(m.Tri)); same != m {
		t.Error("a mesh that is small enough was altered")
	}
	// Clustering may turn a sliver over; what is seen must face outwards.
	ball, _ := Coarse(meshtest.Sphere(5, 120), nil, 4000)
	in := 0.0
	for f := range ball.Tri {
		if a := ball.AreaVector(mesh.FaceID(f)); a.Dot(ball.Centroid(mesh.FaceID(f))) < 0 {
			in += a.Norm()
		}
	}
	if share := in / area(ball); share > 0.005 {
		t.Errorf("%.2f %% of the surface faces inwards", 100*share)
	}
}

func FuzzDecode(f *testing.F) {
	m := meshtest.Painted(stump(1))
	f.Add(Encode(m, []Value{heights(m)}), false)
	f.Add(unsqueezed(Encode(m, []Value{heights(m)})), true)
	f.Add([]byte{}, true)
	f.Fuzz(func(t *testing.T, data []byte, raw bool) {
		if len(data) > 1<<20 {
			return
		}
		read := Decode
		if raw {
			read = decode
		}
		s, err := read(data)
		if err != nil {
			return
		}
		for _, tri := range s.Mesh.Tri {
			for _, v := range tri {
				if int(v) >= len(s.Mesh.Pos) {
					t.Fatal("a corner beyond the vertices")
				}
			}
		}
		for _, v := range s.Values {
			if len(v.Of) != len(s.Mesh.Pos) {
				t.Fatal("a value with another length than the vertices")
			}
		}
	})
}

func unsqueezed(data []byte) []byte {
	raw, err := unpack(data)
	if err != nil {
		panic(err)
	}
	return raw
}

// TestMangled alters every byte of a small file: an error or a mesh, never a panic.
func TestMangled(t *testing.T) {
	m := meshtest.Painted(stump(1.5))
	raw := unsqueezed(Encode(m, []Value{heights(m)}))
	for i := range raw {
		for _, x := range []byte{0, 1, 0x7F, 0x80, 0xFF} {
			bad := bytes.Clone(raw)
			bad[i] ^= x
			_, _ = decode(bad)
		}
		if _, err := decode(raw[:i]); err == nil {
			t.Fatalf("%d bytes of %d were taken for the whole", i, len(raw))
		}
	}
	if _, err := decode(append(bytes.Clone(raw), 0)); err == nil {
		t.Fatal("a byte too many was not noticed")
	}
}

// scanFile names a scan to measure on in place of a made one: SELVAGE_BENCH_SCAN.
func benchMesh(b *testing.B) *mesh.Mesh {
	name := os.Getenv("SELVAGE_BENCH_SCAN")
	if name == "" {
		return meshtest.Rough(stump(0.032), 0.01, 7)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		b.Fatal(err)
	}
	m, _ := mesh.Build(soup)
	return m
}

func BenchmarkEncode(b *testing.B) {
	m := benchMesh(b)
	var n int
	for b.Loop() {
		n = len(Encode(m, nil))
	}
	b.ReportMetric(float64(len(m.Tri)), "triangles")
	b.ReportMetric(float64(n)/float64(len(m.Tri)), "B/triangle")
}

func BenchmarkWalk(b *testing.B) {
	m := benchMesh(b)
	for b.Loop() {
		walk(m)
	}
}

func BenchmarkCoarse(b *testing.B) {
	m := benchMesh(b)
	for b.Loop() {
		Coarse(m, nil, CoarseTarget)
	}
}

func BenchmarkDecode(b *testing.B) {
	data := Encode(benchMesh(b), nil)
	for b.Loop() {
		if _, err := Decode(data); err != nil {
			b.Fatal(err)
		}
	}
}
