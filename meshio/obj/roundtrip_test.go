package obj_test

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/obj"
	"selvage/meshio/wire"
	"selvage/r3"
)

// seed starts the random generators of this package's tests.
const seed = 20260504

// Law: what is written comes back bit for bit, colours too.
func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 0))
	for name, m := range map[string]*mesh.Mesh{
		"sphere":   meshtest.Sphere(10, 6),
		"painted":  meshtest.Painted(meshtest.Torus(10, 3, 40, 7)),
		"jagged":   meshtest.Jagged(meshtest.Painted(meshtest.Sphere(1, 5)), rng),
		"triangle": {Pos: []r3.Vec{{}, {X: 1}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}},
	} {
		var b bytes.Buffer
		if err := obj.Encode(&b, m); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		s, layout, err := obj.Decode(b.Bytes())
		if err != nil || layout != (wire.Layout{}) {
			t.Fatalf("%s: %v, layout %+v", name, err, layout)
		}
		if !reflect.DeepEqual(s, meshtest.Indexed(m)) {
			t.Errorf("%s: another surface came back", name)
		}
	}
}

// A mesh that is black all over, or as dark as 1 in 255, keeps its colours: the
// scale of a file is judged by its brightest value.
func TestDarkColoursComeBack(t *testing.T) {
	for _, c := range []mesh.RGB{{0, 0, 0}, {1, 0, 1}, {255, 255, 255}} {
		m := &mesh.Mesh{Pos: []r3.Vec{{}, {X: 1}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}, Color: []mesh.RGB{c, c, c}}
		var b bytes.Buffer
		if err := obj.Encode(&b, m); err != nil {
			t.Fatal(err)
		}
		s, _, err := obj.Decode(b.Bytes())
		if err != nil || !reflect.DeepEqual(s.Color, m.Color) {
			t.Errorf("colour %v came back as %v, %v", c, s.Color, err)
		}
	}
}

func TestEncodeReportsErrors(t *testing.T) {
	m := meshtest.Sphere(10, 20)
	for _, room := range []int{0, 100, 50_000} {
		if err := obj.Encode(&meshtest.ShortWriter{N: room}, m); !errors.Is(err, meshtest.ErrShort) {
			t.Errorf("with room for %d bytes: %v", room, err)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1)} {
		bad := &mesh.Mesh{Pos: []r3.Vec{{}, {X: x}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
		if obj.Encode(&bytes.Buffer{}, bad) == nil {
			t.Errorf("%g was written", x)
		}
	}
}
