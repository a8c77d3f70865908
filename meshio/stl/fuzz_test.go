package stl_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/stl"
)

func FuzzDecode(f *testing.F) {
	meshtest.Seeds(f, "testdata")
	f.Fuzz(func(t *testing.T, data []byte) { meshtest.CheckDecoder(t, data, stl.Decode) })
}

// What the fuzzer does for minutes is done here for a moment, on every run.
func TestMangled(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	var binary, text bytes.Buffer
	m := meshtest.Sphere(10, 1)
	if stl.Encode(&binary, m) != nil || stl.EncodeText(&text, m) != nil {
		t.Fatal("the seed could not be written")
	}
	for _, data := range [][]byte{binary.Bytes(), text.Bytes()} {
		meshtest.Mangled(data, rng, func(b []byte) {
			meshtest.CheckDecoder(t, b, stl.Decode)
			if t.Failed() {
				t.Fatalf("seed %d: %q", seed, b)
			}
		})
	}
}

// Cut anywhere, a file gives an error: never a part of the surface.
func TestCutFilesAreRefused(t *testing.T) {
	var binary, text bytes.Buffer
	m := meshtest.Sphere(10, 1)
	if stl.Encode(&binary, m) != nil || stl.EncodeText(&text, m) != nil {
		t.Fatal("the seed could not be written")
	}
	for _, data := range [][]byte{binary.Bytes(), bytes.TrimSpace(text.Bytes())} {
		for n := range len(data) {
			if _, _, err := stl.Decode(data[:n]); err == nil {
				t.Fatalf("cut after %d of %d bytes: no error", n, len(data))
			}
		}
	}
}
