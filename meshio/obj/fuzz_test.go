package obj_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/obj"
)

func FuzzDecode(f *testing.F) {
	meshtest.Seeds(f, "testdata")
	f.Fuzz(func(t *testing.T, data []byte) { meshtest.CheckDecoder(t, data, obj.Decode) })
}

// What the fuzzer does for minutes is done here for a moment, on every run.
func TestMangled(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	var b bytes.Buffer
	if err := obj.Encode(&b, meshtest.Painted(meshtest.Sphere(10, 1))); err != nil {
		t.Fatal(err)
	}
	meshtest.Mangled(b.Bytes(), rng, func(b []byte) {
		meshtest.CheckDecoder(t, b, obj.Decode)
		if t.Failed() {
			t.Fatalf("seed %d: %q", seed, b)
		}
	})
}
