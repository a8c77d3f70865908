package coverage

import (
	"math"
	"strings"
	"testing"

	"selvage/dentition"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// wallScene is a floor with a wall 6 mm high at x = 1.5, on the distal side of a
// place at the origin (mesial is -x, so that the wall is at +x; buccal is y).
func wallScene(walls ...float64) Input {
	m := &mesh.Mesh{}
	quad := func(a, b, c, d r3.Vec) {
		n := mesh.VertexID(len(m.Pos))
		m.Pos = append(m.Pos, a, b, c, d)
		m.Tri = append(m.Tri, [3]mesh.VertexID{n, n + 1, n + 2}, [3]mesh.VertexID{n, n + 2, n + 3})
	}
	quad(r3.V(-20, -20, 0), r3.V(20, -20, 0), r3.V(20, 20, 0), r3.V(-20, 20, 0))
	for _, x := range walls {
		quad(r3.V(x, -20, 0), r3.V(x, 20, 0), r3.V(x, 20, 6), r3.V(x, -20, 6))
	}
	return Input{
		Number: 26, Working: surfaceOf("working", m),
		Prepared: dentition.Prepared{
			Sighting: dentition.Seen, Radius: 4,
			Occlusal: r3.V(0, 0, 1), Mesial: r3.V(-1, 0, 0), Buccal: r3.V(0, 1, 0),
		},
	}
}

// A place that looks straight up on a free floor is seen from straight above.
func TestApproachFromAbove(t *testing.T) {
	a := FindApproach(wallScene(), []r3.Vec{{}}, []r3.Vec{{Z: 1}})
	if a.Tilt != 0 || a.From != tooth.Occlusal || a.Seen != 1 || a.Words != "straight from above" {
		t.Errorf("%+v", a)
	}
}

// A place on a wall that faces mesially is seen from the mesial, tilted; the
// words name the side.
func TestApproachOfAWall(t *testing.T) {
	in := wallScene(1.5)
	a := FindApproach(in, []r3.Vec{{X: 1.5, Z: 3}}, []r3.Vec{{X: -1}})
	if a.From != tooth.Mesial || a.Tilt < 25*math.Pi/180 || a.Seen != 1 {
		t.Errorf("%+v", a)
	}
	if want := "from mesial"; !strings.Contains(a.Words, want) {
		t.Errorf("words %q, want %q in them", a.Words, want)
	}
	if d := a.Direction.Dot(r3.V(-1, 0, 0)); d < math.Sin(25*math.Pi/180) {
		t.Errorf("direction %v", a.Direction)
	}
}

// Between two walls the place is seen over the edge of the other wall only: the
// direction rises over it.
func TestApproachBetweenWalls(t *testing.T) {
	const near, high = -0.5, 6.0
	p := r3.V(1.5, 0, 4)
	a := FindApproach(wallScene(1.5, near), []r3.Vec{p}, []r3.Vec{{X: -1}})
	if a.Direction == (r3.Vec{}) {
		t.Fatalf("nothing is free: %+v", a)
	}
	if d := a.Direction; d.X < 0 && d.Z/-d.X < (high-p.Z)/(p.X-near)-0.1 {
		t.Errorf("direction %v runs into the other wall", d)
	}
}

// A covered place has no approach.
func TestNoApproach(t *testing.T) {
	in := wallScene()
	a := FindApproach(in, []r3.Vec{{Z: -1}}, []r3.Vec{{Z: 1}})
	if a.Direction != (r3.Vec{}) || !strings.Contains(a.Words, "no direction") {
		t.Errorf("%+v", a)
	}
	if a := FindApproach(in, nil, nil); a.Direction != (r3.Vec{}) {
		t.Errorf("no points: %+v", a)
	}
}
