package ply_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/ply"
	"selvage/meshio/wire"
)

func FuzzDecode(f *testing.F) {
	meshtest.Seeds(f, "testdata")
	f.Fuzz(func(t *testing.T, data []byte) { meshtest.CheckDecoder(t, data, ply.Decode) })
}

// What the fuzzer does for minutes is done here for a moment, on every run.
func TestMangled(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	for _, o := range options {
		meshtest.Mangled(small(t, o), rng, func(b []byte) {
			meshtest.CheckDecoder(t, b, ply.Decode)
			if t.Failed() {
				t.Fatalf("seed %d: %q", seed, b)
			}
		})
	}
}

// small returns a small file.
func small(t *testing.T, o ply.Options) []byte {
	var b bytes.Buffer
	if err := ply.Encode(&b, meshtest.Painted(meshtest.Sphere(10, 1)), o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Cut anywhere, a file gives an error: never a part of the surface. Text that is
// cut within its last number cannot be told from a whole file.
func TestCutFilesAreRefused(t *testing.T) {
	for _, o := range options {
		data := small(t, o)
		if o.Encoding == wire.ASCII {
			data = bytes.TrimSpace(data)
		}
		for n := range len(data) {
			if _, _, err := ply.Decode(data[:n]); err == nil {
				t.Fatalf("%+v: cut after %d of %d bytes: no error", o, n, len(data))
			}
		}
	}
}
