package ply_test

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/ply"
	"selvage/meshio/wire"
	"selvage/r3"
)

// seed starts the random generators of this package's tests.
const seed = 20260504

// options are all ways to write.
var options = []ply.Options{
	{},
	{Encoding: wire.BinaryLittle},
	{Encoding: wire.BinaryLittle, Precision: ply.Double},
	{Encoding: wire.BinaryBig},
	{Encoding: wire.BinaryBig, Precision: ply.Double},
}

// shapes are what is written and read again.
func shapes(rng *rand.Rand) map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"sphere":   meshtest.Sphere(10, 6),
		"painted":  meshtest.Painted(meshtest.Torus(10, 3, 40, 7)),
		"jagged":   meshtest.Jagged(meshtest.Painted(meshtest.Sphere(1, 5)), rng),
		"triangle": {Pos: []r3.Vec{{}, {X: 1}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}},
	}
}

// Law: every way to write brings the same mesh back, bit for bit, save that
// single precision rounds coordinates to float32.
func TestRoundTrip(t *testing.T) {
	for name, m := range shapes(rand.New(rand.NewPCG(seed, 0))) {
		for _, o := range options {
			var b bytes.Buffer
			if err := ply.Encode(&b, m, o); err != nil {
				t.Fatalf("%s %+v: %v", name, o, err)
			}
			s, layout, err := ply.Decode(b.Bytes())
			if err != nil {
				t.Fatalf("%s %+v: %v", name, o, err)
			}
			if layout != (wire.Layout{Encoding: o.Encoding}) {
				t.Errorf("%s %+v: layout %+v", name, o, layout)
			}
			want := m
			if o.Encoding != wire.ASCII && o.Precision == ply.Single {
				want = meshtest.Single(m)
			}
			if !reflect.DeepEqual(s, meshtest.Indexed(want)) {
				t.Errorf("%s %+v: another surface came back", name, o)
			}
		}
	}
}

func TestEncodeReportsErrors(t *testing.T) {
	m := meshtest.Painted(meshtest.Sphere(10, 20))
	for _, o := range options {
		for _, room := range []int{0, 100, 20_000} {
			if err := ply.Encode(&meshtest.ShortWriter{N: room}, m, o); !errors.Is(err, meshtest.ErrShort) {
				t.Errorf("%+v with room for %d bytes: %v", o, room, err)
			}
		}
		for _, x := range []float64{math.NaN(), math.Inf(-1), 1e39} {
			bad := &mesh.Mesh{Pos: []r3.Vec{{}, {X: x}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
			fits := x == 1e39 && (o.Encoding == wire.ASCII || o.Precision == ply.Double)
			if err := ply.Encode(&bytes.Buffer{}, bad, o); (err == nil) != fits {
				t.Errorf("%+v: %g: %v", o, x, err)
			}
		}
	}
}
