package mesh_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"
	"time"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/r3"
)

// seed starts every random generator of the tests of this package.
const seed = 20260504

func newRand() *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

// corner makes the points of unindexed soups easy to write.
var (
	o  = r3.V(0, 0, 0)
	ex = r3.V(1, 0, 0)
	ey = r3.V(0, 1, 0)
	ez = r3.V(0, 0, 1)
)

var nan = math.NaN()

// repairs is a soup for every kind of repair, with what Build must count.
var repairs = []struct {
	name  string
	soup  mesh.Soup
	faces int
	want  mesh.Repair
}{
	{"nothing", mesh.Soup{}, 0, mesh.Repair{}},
	{"one triangle", mesh.Soup{Pos: []r3.Vec{o, ex, ey}}, 1, mesh.Repair{Points: 3, Faces: 1}},
	{
		"two that share an edge",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, ex, o, ez}},
		2,
		mesh.Repair{Points: 6, Faces: 2, Welded: 2},
	},
	{
		"negative zero",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, ex, r3.V(math.Copysign(0, -1), 0, 0), ez}},
		2,
		mesh.Repair{Points: 6, Faces: 2, Welded: 2},
	},
	{
		"one bit apart",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, r3.V(math.Nextafter(1, 2), 0, 0), o, ez}},
		2,
		mesh.Repair{Points: 6, Faces: 2, Welded: 1},
	},
	{
		"two corners equal",
		mesh.Soup{Pos: []r3.Vec{o, ex, ex, o, ex, ey}},
		1,
		mesh.Repair{Points: 6, Faces: 2, Welded: 3, Degenerate: 1},
	},
	{
		"all corners equal",
		mesh.Soup{Pos: []r3.Vec{o, o, o}},
		0,
		mesh.Repair{Points: 3, Faces: 1, Welded: 2, Degenerate: 1, Unreferenced: 1},
	},
	{
		"flat but kept",
		mesh.Soup{Pos: []r3.Vec{o, ex, ex.Scale(2)}},
		1,
		mesh.Repair{Points: 3, Faces: 1, Flat: 1},
	},
	{
		"twice",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, ey, o, ex}},
		1,
		mesh.Repair{Points: 6, Faces: 2, Welded: 3, Duplicate: 1},
	},
	{
		"both windings",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, ex, o, ey}},
		1,
		mesh.Repair{Points: 6, Faces: 2, Welded: 3, Opposed: 1},
	},
	{
		"three times, the last turned",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, ex, ey, o, ey, ex, o}},
		1,
		mesh.Repair{Points: 9, Faces: 3, Welded: 6, Duplicate: 1, Opposed: 1},
	},
	{
		"not a number",
		mesh.Soup{Pos: []r3.Vec{o, ex, ey, o, ex, r3.V(nan, 0, 0)}},
		1,
		mesh.Repair{Points: 6, Faces: 2, Welded: 2, NotFinite: 1, Unreferenced: 1},
	},
	{
		"the same NaN often",
		mesh.Soup{Pos: []r3.Vec{r3.V(nan, 0, 0), r3.V(nan, 0, 0), r3.V(nan, 0, 0)}},
		0,
		mesh.Repair{Points: 3, Faces: 1, Welded: 2, NotFinite: 1, Unreferenced: 1},
	},
	{
		"infinite",
		mesh.Soup{Pos: []r3.Vec{o, ex, r3.V(0, math.Inf(-1), 0)}},
		0,
		mesh.Repair{Points: 3, Faces: 1, NotFinite: 1, Unreferenced: 3},
	},
	{
		"huge but finite",
		mesh.Soup{Pos: []r3.Vec{o, ex.Scale(1e200), ey.Scale(1e200)}},
		1,
		mesh.Repair{Points: 3, Faces: 1},
	},
	{
		"points without use",
		mesh.Soup{Pos: []r3.Vec{ez, o, ex, ey}, Tri: [][3]int32{{1, 2, 3}}},
		1,
		mesh.Repair{Points: 4, Faces: 1, Unreferenced: 1},
	},
	{
		"points without triangles",
		mesh.Soup{Pos: []r3.Vec{ez, o}, Tri: [][3]int32{}},
		0,
		mesh.Repair{Points: 2, Unreferenced: 2},
	},
}

func TestBuildCountsEveryRepair(t *testing.T) {
	for _, c := range repairs {
		t.Run(c.name, func(t *testing.T) {
			m, rep := mesh.Build(c.soup)
			if rep != c.want {
				t.Errorf("repair\n got %+v\nwant %+v", rep, c.want)
			}
			if len(m.Tri) != c.faces {
				t.Errorf("%d faces, want %d", len(m.Tri), c.faces)
			}
			if got := rep.Faces - rep.Dropped(); got != len(m.Tri) {
				t.Errorf("the counts leave %d faces, the mesh has %d", got, len(m.Tri))
			}
			if got := rep.Points - rep.Welded - rep.Unreferenced; got != len(m.Pos) {
				t.Errorf("the counts leave %d vertices, the mesh has %d", got, len(m.Pos))
			}
		})
	}
}

// The soup belongs to the caller, who may look at it again.
func TestBuildLeavesTheSoupAlone(t *testing.T) {
	s := meshtest.Indexed(meshtest.Painted(meshtest.Sphere(10, 4)))
	s.Pos = append([]r3.Vec{{X: 99}}, s.Pos...) // an unused point, so that ids move
	s.Color = append([]mesh.RGB{{1, 2, 3}}, s.Color...)
	for f, c := range s.Tri {
		s.Tri[f] = [3]int32{c[0] + 1, c[1] + 1, c[2] + 1}
	}
	s.Tri = append(s.Tri, s.Tri[0])
	before := mesh.Soup{Pos: clone(s.Pos), Tri: clone(s.Tri), Color: clone(s.Color)}
	mesh.Build(s)
	if !reflect.DeepEqual(s, before) {
		t.Error("Build changed the soup that it was given")
	}
}

func clone[T any](s []T) []T { return append([]T(nil), s...) }

func TestBuildKeepsColours(t *testing.T) {
	red, green := mesh.RGB{255, 0, 0}, mesh.RGB{0, 255, 0}
	s := mesh.Soup{
		Pos:   []r3.Vec{ez, o, ex, ey, o},
		Color: []mesh.RGB{green, red, green, green, green},
		Tri:   [][3]int32{{4, 2, 3}, {1, 3, 2}},
	}
	m, _ := mesh.Build(s)
	want := &mesh.Mesh{
		Pos: []r3.Vec{o, ex, ey}, Color: []mesh.RGB{red, green, green},
		Tri: [][3]mesh.VertexID{{0, 1, 2}},
	}
	if !reflect.DeepEqual(m, want) {
		t.Errorf("got %+v\nwant %+v: the first of two joined points gives the colour", m, want)
	}
	unindexed, _ := mesh.Build(mesh.Soup{
		Pos:   []r3.Vec{o, ex, ey, ex, o, ez},
		Color: []mesh.RGB{red, green, green, red, red, red},
	})
	if got := unindexed.Color; !reflect.DeepEqual(got, []mesh.RGB{red, green, green, red}) {
		t.Errorf("unindexed soup: colours %v", got)
	}
}

// Law: welding the corners of a mesh gives the mesh back, up to the numbering.
func TestBuildUndoesUnweld(t *testing.T) {
	for name, m := range shapes() {
		got, rep := mesh.Build(meshtest.Unweld(m))
		if rep.Dropped() != 0 || len(got.Pos) != len(m.Pos) || len(got.Tri) != len(m.Tri) {
			t.Errorf("%s: %d vertices and %d faces became %d and %d (%+v)", name,
				len(m.Pos), len(m.Tri), len(got.Pos), len(got.Tri), rep)
		}
		for f := range mesh.FaceID(len(m.Tri)) {
			a, b, c := m.Corners(f)
			if x, y, z := got.Corners(f); x != a || y != b || z != c {
				t.Fatalf("%s: face %d moved", name, f)
			}
		}
	}
}

// Law: building twice gives the same bytes, and building what was built changes
// nothing.
func TestBuildIsDeterministicAndIdempotent(t *testing.T) {
	for name, m := range shapes() {
		s := meshtest.Unweld(meshtest.Shuffled(m, newRand()))
		a, repA := mesh.Build(s)
		b, repB := mesh.Build(s)
		if !reflect.DeepEqual(a, b) || repA != repB {
			t.Errorf("%s: two runs differ", name)
		}
		again, rep := mesh.Build(meshtest.Indexed(a))
		if !reflect.DeepEqual(again, a) || rep.Welded+rep.Dropped()+rep.Unreferenced != 0 {
			t.Errorf("%s: building again changed it: %+v", name, rep)
		}
	}
}

// Law: what Build keeps does not depend on the order of the faces, however many
// repeat each other; the oracle is a map over sorted corners.
func TestBuildDropsRepeatsLikeTheOracle(t *testing.T) {
	rng := newRand()
	for trial := range 300 {
		points := 3 + rng.IntN(12)
		var s mesh.Soup
		for i := range points {
			s.Pos = append(s.Pos, r3.V(float64(i), float64(i*i), float64(rng.IntN(2))))
		}
		s.Tri = [][3]int32{}
		// Few points and up to 400 triangles: groups above manyEntries occur.
		for range rng.IntN(400) {
			s.Tri = append(s.Tri, [3]int32{int32(rng.IntN(points)), int32(rng.IntN(points)), int32(rng.IntN(points))})
		}
		kept, repeats := distinct(s.Tri)
		m, rep := mesh.Build(s)
		if len(m.Tri) != kept || rep.Duplicate+rep.Opposed != repeats {
			t.Fatalf("seed %d trial %d: kept %d, dropped %d; want %d, %d", seed, trial,
				len(m.Tri), rep.Duplicate+rep.Opposed, kept, repeats)
		}
	}
}

// distinct counts the triangles with three different corners, each set once.
func distinct(tri [][3]int32) (kept, repeats int) {
	seen := map[[3]int32]bool{}
	for _, t := range tri {
		a, b, c := min(t[0], t[1], t[2]), t[0]+t[1]+t[2], max(t[0], t[1], t[2])
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			continue
		}
		if key := [3]int32{a, b, c}; seen[key] {
			repeats++
		} else {
			seen[key] = true
			kept++
		}
	}
	return kept, repeats
}

// mostCrowding is how many times longer a mesh with one crowded vertex may take
// than an ordinary one of the same size: sorting costs some, noise of the machine
// more. Quadratic, it would be thousands.
const mostCrowding = 100

// A polygon of very many corners puts every triangle into one group; building
// and pairing must stay near linear.
func TestCrowdedCornerIsNotQuadratic(t *testing.T) {
	const n = 200_000
	begin := time.Now()
	mesh.NewTopology(first(mesh.Build(meshtest.Indexed(meshtest.Torus(10, 3, n/200, 100)))))
	ordinary := time.Since(begin)
	var s mesh.Soup
	s.Pos = append(s.Pos, o)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		s.Pos = append(s.Pos, r3.V(cos, sin, 0))
	}
	for i := range int32(n) {
		s.Tri = append(s.Tri, [3]int32{0, 1 + i, 1 + (i+1)%n})
	}
	s.Tri = append(s.Tri, s.Tri[n/2], [3]int32{0, 2, 1})
	begin = time.Now()
	m, rep := mesh.Build(s)
	if rep.Duplicate != 1 || rep.Opposed != 1 {
		t.Errorf("repeats found: %+v", rep)
	}
	topo := mesh.NewTopology(m)
	if took := time.Since(begin); took > mostCrowding*ordinary {
		t.Errorf("took %v, an ordinary mesh of the same size %v", took, ordinary)
	}
	if topo.Boundary != n || topo.NonManifold+topo.Inconsistent+topo.BowTies != 0 {
		t.Errorf("boundary %d, want %d", topo.Boundary, n)
	}
	if ring := topo.OneRing(nil, 0); len(ring) != n {
		t.Errorf("the hub has %d neighbours, want %d", len(ring), n)
	}
}

// first returns the mesh of what Build returns.
func first(m *mesh.Mesh, _ mesh.Repair) *mesh.Mesh { return m }

func TestBuildPanicsOnABadSoup(t *testing.T) {
	for name, s := range map[string]mesh.Soup{
		"points":  {Pos: []r3.Vec{o, ex}},
		"colours": {Pos: []r3.Vec{o, ex, ey}, Color: []mesh.RGB{{}}},
		"index":   {Pos: []r3.Vec{o, ex, ey}, Tri: [][3]int32{{0, 1, 3}}},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			mesh.Build(s)
		}()
	}
}

// mostMemory bounds what Build may allocate, as a multiple of the result.
const mostMemory = 5

func TestBuildMemory(t *testing.T) {
	m := meshtest.Single(meshtest.Sphere(30, 112))
	result := float64(24*len(m.Pos) + 12*len(m.Tri))
	for name, s := range map[string]mesh.Soup{"corners": meshtest.Unweld(m), "indexed": meshtest.Indexed(m)} {
		if got := allocated(func() { mesh.Build(s) }); got > mostMemory*result {
			t.Errorf("%s: Build allocated %.1f times its result, want %d at most", name, got/result, mostMemory)
		}
	}
}

// allocated returns the bytes that f allocates.
func allocated(f func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc - before.TotalAlloc)
}
