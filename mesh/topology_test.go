package mesh_test

import (
	"reflect"
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/r3"
)

// shapes are the meshes that laws are tried on.
func shapes() map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"sphere":   meshtest.Sphere(10, 7),
		"torus":    meshtest.Torus(10, 3, 17, 9),
		"plate":    meshtest.Plate(6, 5, 0.5, nil),
		"sieve":    meshtest.Plate(11, 9, 1, func(i, j int) bool { return i%4 == 1 && j%3 == 1 }),
		"chess":    meshtest.Plate(8, 8, 1, func(i, j int) bool { return (i+j)%2 == 1 }),
		"triangle": {Pos: []r3.Vec{o, ex, ey}, Tri: [][3]mesh.VertexID{{0, 1, 2}}},
		"empty":    {},
	}
}

func TestEulerCharacteristic(t *testing.T) {
	// Columns of three holes in rows of three: (11-1)/4+1 = 3 columns, (9-1)/3+1 = 3 rows.
	const holes = 9
	for _, c := range []struct {
		name  string
		m     *mesh.Mesh
		euler int
		loops int
		parts int
	}{
		{"sphere", meshtest.Sphere(10, 7), 2, 0, 1},
		{"torus", meshtest.Torus(10, 3, 17, 9), 0, 0, 1},
		{"disc", meshtest.Plate(6, 5, 0.5, nil), 1, 1, 1},
		{"sieve", shapes()["sieve"], 1 - holes, 1 + holes, 1},
		{"two spheres", join(meshtest.Sphere(10, 3), far(meshtest.Sphere(10, 4))), 4, 0, 2},
		{"sphere and disc", join(meshtest.Sphere(10, 3), far(meshtest.Plate(2, 2, 1, nil))), 3, 1, 2},
		{"triangle", shapes()["triangle"], 1, 1, 1},
		{"nothing", &mesh.Mesh{}, 0, 0, 0},
	} {
		topo := mesh.NewTopology(c.m)
		if got := topo.Euler(); got != c.euler {
			t.Errorf("%s: Euler characteristic %d, want %d", c.name, got, c.euler)
		}
		if got := len(topo.Loops()); got != c.loops {
			t.Errorf("%s: %d boundary loops, want %d", c.name, got, c.loops)
		}
		if _, got := topo.Components(); got != c.parts {
			t.Errorf("%s: %d components, want %d", c.name, got, c.parts)
		}
		if topo.NonManifold+topo.Inconsistent+topo.BowTies != 0 {
			t.Errorf("%s: defects in a sound surface: %+v", c.name, counts(topo))
		}
	}
}

// join returns both meshes as one, not connected.
func join(a, b *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Pos: append(clone(a.Pos), b.Pos...), Tri: clone(a.Tri)}
	n := mesh.VertexID(len(a.Pos))
	for _, t := range b.Tri {
		out.Tri = append(out.Tri, [3]mesh.VertexID{t[0] + n, t[1] + n, t[2] + n})
	}
	return out
}

// far moves a mesh away.
func far(m *mesh.Mesh) *mesh.Mesh {
	g := r3.Still()
	g.T = r3.V(100, 0, 0)
	return m.Moved(g)
}

// tally is what must not depend on the order of faces.
type tally struct {
	edges, boundary, nonManifold, inconsistent, bowTies, odd, loops, parts int
	longest                                                                int
}

func counts(t *mesh.Topology) tally {
	loops := t.Loops()
	_, n := t.Components()
	c := tally{t.Edges(), t.Boundary, t.NonManifold, t.Inconsistent, t.BowTies, len(t.Odd), len(loops), n, 0}
	for _, l := range loops {
		c.longest = max(c.longest, len(l))
	}
	return c
}

// Law: the counts of a topology do not depend on the order of the faces or on
// which corner comes first.
func TestCountsDoNotDependOnOrder(t *testing.T) {
	rng := newRand()
	all := shapes()
	for name, m := range defects() {
		all[name] = m
	}
	for name, m := range all {
		want := counts(mesh.NewTopology(m))
		for trial := range 5 {
			if got := counts(mesh.NewTopology(meshtest.Shuffled(m, rng))); got != want {
				t.Errorf("%s, seed %d trial %d: %+v, want %+v", name, seed, trial, got, want)
			}
		}
	}
}

// Laws of every topology: pairs are mutual and opposite; each half-edge without
// a pair is open or odd; Out leaves its vertex; loops are closed, simple, and
// hold every half-edge without a pair once.
func TestInvariants(t *testing.T) {
	all := shapes()
	for name, m := range defects() {
		all[name] = m
	}
	for name, m := range all {
		topo := mesh.NewTopology(m)
		bare := 0
		for h := range mesh.HalfedgeID(len(topo.Pair)) {
			p := topo.Pair[h]
			if p == mesh.None {
				bare++
				continue
			}
			if topo.Pair[p] != h || m.From(p) != m.To(h) || m.To(p) != m.From(h) {
				t.Fatalf("%s: half-edge %d has the pair %d", name, h, p)
			}
			if topo.Open(h) {
				t.Errorf("%s: half-edge %d has a pair and is open", name, h)
			}
		}
		for v, h := range topo.Out {
			if m.From(h) != mesh.VertexID(v) {
				t.Errorf("%s: Out of vertex %d leaves %d", name, v, m.From(h))
			}
		}
		checkLoops(t, name, topo, bare)
		checkRings(t, name, topo)
	}
}

func checkLoops(t *testing.T, name string, topo *mesh.Topology, bare int) {
	m := topo.Mesh
	inLoops, last := 0, mesh.HalfedgeID(-1)
	for _, loop := range topo.Loops() {
		inLoops += len(loop)
		if loop[0] != slices.Min(loop) || loop[0] <= last {
			t.Errorf("%s: loop starts at %d after one at %d", name, loop[0], last)
		}
		last = loop[0]
		var at []mesh.VertexID
		for i, h := range loop {
			if topo.Pair[h] != mesh.None {
				t.Errorf("%s: half-edge %d of a loop has a pair", name, h)
			}
			if next := loop[(i+1)%len(loop)]; m.To(h) != m.From(next) {
				t.Errorf("%s: the loop breaks between %d and %d", name, h, next)
			}
			at = append(at, m.From(h))
		}
		slices.Sort(at)
		if len(slices.Compact(at)) != len(loop) {
			t.Errorf("%s: a loop passes a vertex twice", name)
		}
	}
	if inLoops != bare {
		t.Errorf("%s: loops hold %d half-edges, %d have no pair", name, inLoops, bare)
	}
}

// checkRings compares OneRing and Star with a search through all faces.
func checkRings(t *testing.T, name string, topo *mesh.Topology) {
	m := topo.Mesh
	want := make([][]mesh.VertexID, len(m.Pos))
	faces := make([][]mesh.FaceID, len(m.Pos))
	for f, c := range m.Tri {
		for i, v := range c {
			want[v] = append(want[v], c[(i+1)%3], c[(i+2)%3])
			faces[v] = append(faces[v], mesh.FaceID(f))
		}
	}
	var ring []mesh.VertexID
	var star []mesh.FaceID
	for v := range mesh.VertexID(len(m.Pos)) {
		ring = topo.OneRing(ring, v)
		got := clone(ring)
		slices.Sort(got)
		slices.Sort(want[v])
		if w := slices.Compact(want[v]); !slices.Equal(got, w) {
			t.Fatalf("%s: ring of vertex %d is %v, want the members %v", name, v, ring, w)
		}
		star = topo.Star(star, v)
		got2 := clone(star)
		slices.Sort(got2)
		if !slices.Equal(got2, faces[v]) {
			t.Fatalf("%s: star of vertex %d is %v, want the members %v", name, v, star, faces[v])
		}
	}
}

func TestOneRingTurnsCounterClockwise(t *testing.T) {
	m := meshtest.Plate(2, 2, 1, nil) // vertex 4 in the middle, diagonals from low to high
	topo := mesh.NewTopology(m)
	ring := topo.OneRing(nil, 4)
	k := slices.Index(ring, 5)
	turned := append(clone(ring[k:]), ring[:k]...)
	if want := []mesh.VertexID{5, 8, 7, 3, 0, 1}; !slices.Equal(turned, want) {
		t.Errorf("ring of the middle is %v, want %v", turned, want)
	}
	if topo.OnBoundary(4) || !topo.OnBoundary(0) {
		t.Error("the middle of a plate is no boundary, its corner is")
	}
	// At the boundary the ring runs from one open edge to the other.
	if got, want := topo.OneRing(nil, 1), []mesh.VertexID{2, 5, 4, 0}; !slices.Equal(got, want) {
		t.Errorf("ring at the rim is %v, want %v", got, want)
	}
}

func TestLoopsOfASieve(t *testing.T) {
	m := shapes()["sieve"]
	topo := mesh.NewTopology(m)
	lengths := map[int]int{}
	for _, loop := range topo.Loops() {
		lengths[len(loop)]++
		var area r3.Vec // of the loop's polygon: against the plate's normal for a hole
		for i, h := range loop {
			a, b := m.Pos[m.From(h)], m.Pos[m.From(loop[(i+1)%len(loop)])]
			area = area.Add(a.Cross(b).Scale(0.5))
		}
		if hole := len(loop) == 4; hole != (area.Z < 0) {
			t.Errorf("loop of %d edges has the area %g", len(loop), area.Z)
		}
	}
	if want := map[int]int{4: 9, 2 * (11 + 9): 1}; !reflect.DeepEqual(lengths, want) {
		t.Errorf("loops by length %v, want %v", lengths, want)
	}
}

// Two holes that touch in a vertex are two loops, though a walk by faces alone
// runs through both.
func TestLoopsPartAtBowTies(t *testing.T) {
	m := meshtest.Plate(4, 4, 1, func(i, j int) bool { return (i == 1 && j == 1) || (i == 2 && j == 2) })
	topo := mesh.NewTopology(m)
	if topo.BowTies != 1 {
		t.Errorf("%d bow-ties, want 1", topo.BowTies)
	}
	lengths := map[int]int{}
	for _, loop := range topo.Loops() {
		lengths[len(loop)]++
	}
	if want := map[int]int{4: 2, 16: 1}; !reflect.DeepEqual(lengths, want) {
		t.Errorf("loops by length %v, want %v", lengths, want)
	}
}
