package stl_test

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/stl"
	"selvage/meshio/wire"
	"selvage/r3"
)

// seed starts the random generators of this package's tests.
const seed = 20260504

// shapes are what is written and read again.
func shapes(rng *rand.Rand) map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"sphere":   meshtest.Sphere(10, 6),
		"torus":    meshtest.Torus(10, 3, 12, 7),
		"jagged":   meshtest.Jagged(meshtest.Sphere(1, 5), rng),
		"triangle": {Pos: []r3.Vec{{}, {X: 1}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}},
	}
}

// read decodes what was written and returns the corners of its triangles.
func read(t *testing.T, name string, b *bytes.Buffer, want wire.Encoding) []r3.Vec {
	t.Helper()
	s, layout, err := stl.Decode(b.Bytes())
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if layout != (wire.Layout{Encoding: want}) {
		t.Errorf("%s: layout %+v", name, layout)
	}
	return s.Pos
}

// Law: binary STL gives back the float32 nearest to each coordinate; text gives
// back each bit.
func TestRoundTrip(t *testing.T) {
	for name, m := range shapes(rand.New(rand.NewPCG(seed, 0))) {
		var binary, text bytes.Buffer
		if err := errors.Join(stl.Encode(&binary, m), stl.EncodeText(&text, m)); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if binary.Len() != 84+50*len(m.Tri) {
			t.Errorf("%s: %d bytes for %d triangles", name, binary.Len(), len(m.Tri))
		}
		single := meshtest.Unweld(meshtest.Single(m)).Pos
		whole := meshtest.Unweld(m).Pos
		for i, p := range read(t, name+" binary", &binary, wire.BinaryLittle) {
			if p != single[i] {
				t.Fatalf("%s: binary point %d is %v, want %v", name, i, p, single[i])
			}
		}
		for i, p := range read(t, name+" text", &text, wire.ASCII) {
			if p != whole[i] {
				t.Fatalf("%s: text point %d is %v, want %v", name, i, p, whole[i])
			}
		}
	}
}

// The check values of the trade page (rows 46 and 47).
func TestSizes(t *testing.T) {
	four := &mesh.Mesh{
		Pos: []r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}},
		Tri: [][3]mesh.VertexID{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
	var b bytes.Buffer
	if err := stl.Encode(&b, four); err != nil || b.Len() != 284 {
		t.Errorf("4 facets take %d bytes, %v; want 284", b.Len(), err)
	}
	if bytes.HasPrefix(bytes.ToLower(b.Bytes()), []byte("solid")) {
		t.Error("the header of a binary file starts with solid")
	}
	if testing.Short() {
		return
	}
	million := &mesh.Mesh{Pos: four.Pos, Tri: make([][3]mesh.VertexID, 1_000_000)}
	b.Reset()
	if err := stl.Encode(&b, million); err != nil || b.Len() != 50_000_084 {
		t.Errorf("1,000,000 facets take %d bytes, %v; want 50,000,084", b.Len(), err)
	}
}

func TestEncodeWritesNormals(t *testing.T) {
	m := &mesh.Mesh{Pos: []r3.Vec{{}, {X: 2}, {Y: 2}, {X: 4}}, Tri: [][3]mesh.VertexID{{0, 1, 2}, {0, 1, 3}}}
	var b bytes.Buffer
	if err := stl.EncodeText(&b, m); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"facet normal 0 0 1\n", "facet normal 0 0 0\n"} {
		if !bytes.Contains(b.Bytes(), []byte(want)) {
			t.Errorf("no line %q for a face and one without area in:\n%s", want, b.String())
		}
	}
}

func TestEncodeReportsErrors(t *testing.T) {
	m := meshtest.Sphere(10, 20)
	for _, encode := range []func(*meshtest.ShortWriter) error{
		func(w *meshtest.ShortWriter) error { return stl.Encode(w, m) },
		func(w *meshtest.ShortWriter) error { return stl.EncodeText(w, m) },
	} {
		for _, room := range []int{0, 100, 50_000} {
			if err := encode(&meshtest.ShortWriter{N: room}); !errors.Is(err, meshtest.ErrShort) {
				t.Errorf("with room for %d bytes: %v", room, err)
			}
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), 1e39} {
		bad := &mesh.Mesh{Pos: []r3.Vec{{}, {X: x}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
		var b bytes.Buffer
		if stl.Encode(&b, bad) == nil || b.Len() != 0 {
			t.Errorf("binary: %g was written", x)
		}
		if err := stl.EncodeText(&b, bad); (err == nil) != (x == 1e39) {
			t.Errorf("text: %g: %v", x, err)
		}
	}
}
