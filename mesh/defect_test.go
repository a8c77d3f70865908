package mesh_test

import (
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/r3"
)

// defects are meshes that are no oriented manifold.
func defects() map[string]*mesh.Mesh {
	flipped := meshtest.Plate(3, 3, 1, nil)
	flipped.Tri[8] = [3]mesh.VertexID{flipped.Tri[8][0], flipped.Tri[8][2], flipped.Tri[8][1]}
	return map[string]*mesh.Mesh{
		// Three sheets at one edge, like a page standing in an open book.
		"book": {
			Pos: []r3.Vec{o, ez, ex, ex.Neg(), ey},
			Tri: [][3]mesh.VertexID{{0, 1, 2}, {1, 0, 3}, {0, 1, 4}},
		},
		// Two triangles that run along their common edge in the same direction.
		"twist": {Pos: []r3.Vec{o, ez, ex, ey}, Tri: [][3]mesh.VertexID{{0, 1, 2}, {0, 1, 3}}},
		// One face of a plate turned over: three edges disagree.
		"flipped": flipped,
		// Two closed balls that share one vertex.
		"touching": touching(),
		// Two triangles that share one vertex.
		"butterfly": {
			Pos: []r3.Vec{o, ex, ey, ex.Neg(), ey.Neg()},
			Tri: [][3]mesh.VertexID{{0, 1, 2}, {0, 3, 4}},
		},
		// Four faces at one edge, two and two.
		"cross": {
			Pos: []r3.Vec{o, ez, ex, ey, ex.Neg(), ey.Neg()},
			Tri: [][3]mesh.VertexID{{0, 1, 2}, {1, 0, 3}, {0, 1, 4}, {1, 0, 5}},
		},
	}
}

// touching returns two spheres with one vertex in common.
func touching() *mesh.Mesh {
	a := meshtest.Sphere(1, 2)
	g := r3.Still()
	g.T = r3.V(2, 0, 0)
	m, _ := mesh.Build(mesh.Soup{Pos: append(meshtest.Unweld(a).Pos, meshtest.Unweld(a.Moved(g)).Pos...)})
	return m
}

func TestDefectsAreCounted(t *testing.T) {
	for _, c := range []struct {
		name                                    string
		nonManifold, inconsistent, bowTies, odd int
		boundary, edges, components, loops      int
	}{
		{name: "book", nonManifold: 1, odd: 3, boundary: 6, edges: 7, components: 1, bowTies: 2, loops: 3},
		{name: "twist", inconsistent: 1, odd: 2, boundary: 4, edges: 5, components: 1, bowTies: 2, loops: 2},
		{name: "touching", bowTies: 1, edges: 2 * 48, components: 2},
		{name: "butterfly", bowTies: 1, boundary: 6, edges: 6, components: 2, loops: 2},
		{name: "cross", nonManifold: 1, odd: 4, boundary: 8, edges: 9, components: 1, bowTies: 2, loops: 4},
	} {
		topo := mesh.NewTopology(defects()[c.name])
		got := counts(topo)
		want := tally{
			edges: c.edges, boundary: c.boundary, nonManifold: c.nonManifold,
			inconsistent: c.inconsistent, bowTies: c.bowTies, odd: c.odd, loops: c.loops, parts: c.components,
		}
		got.longest = 0
		if got != want {
			t.Errorf("%s:\n got %+v\nwant %+v", c.name, got, want)
		}
	}
}

func TestFlippedFaceIsFound(t *testing.T) {
	topo := mesh.NewTopology(defects()["flipped"])
	if topo.Inconsistent != 3 || topo.NonManifold != 0 || topo.Boundary != 12 {
		t.Errorf("inconsistent %d, non-manifold %d, boundary %d; want 3, 0, 12",
			topo.Inconsistent, topo.NonManifold, topo.Boundary)
	}
	if _, n := topo.Components(); n != 1 {
		t.Errorf("%d components: an edge of two windings still connects", n)
	}
	for _, h := range topo.Odd {
		if topo.Open(h) {
			t.Errorf("odd half-edge %d is called open", h)
		}
	}
	if !slices.IsSorted(topo.Odd) || len(topo.Odd) != 6 {
		t.Errorf("odd half-edges %v", topo.Odd)
	}
}

// A vertex where a closed fan and a second closed fan meet lists both.
func TestRingOfTouchingBalls(t *testing.T) {
	m := defects()["touching"]
	topo := mesh.NewTopology(m)
	shared := mesh.VertexID(slices.Index(m.Pos, ex))
	if ring := topo.OneRing(nil, shared); len(ring) != 8 {
		t.Errorf("the shared vertex has the ring %v, want two fans of 4", ring)
	}
	labels, _ := topo.Components()
	if labels[0] != 0 || labels[len(labels)-1] != 1 {
		t.Errorf("components are numbered %v, want by lowest face", labels)
	}
}
