package stl_test

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/stl"
)

// sample returns a small binary file whose header starts with the words.
func sample(t *testing.T, words string) []byte {
	var b bytes.Buffer
	if err := stl.Encode(&b, meshtest.Sphere(10, 1)); err != nil {
		t.Fatal(err)
	}
	copy(b.Bytes(), words)
	return b.Bytes()
}

// withCount returns the file with another count in its header.
func withCount(data []byte, n uint32) []byte {
	out := bytes.Clone(data)
	binary.LittleEndian.PutUint32(out[80:], n)
	return out
}

func TestSniff(t *testing.T) {
	whole := sample(t, "solid sphere")
	text := []byte(" \n Solid sphere\nfacet normal 0 0 1\n")
	for _, c := range []struct {
		name                      string
		data                      []byte
		fits, isText, looksBinary bool
	}{
		{"whole", whole, true, false, true},
		{"one byte more", append(bytes.Clone(whole), 0), false, false, true},
		{"one byte less", whole[:len(whole)-1], false, false, true},
		{"one triangle and a half", whole[:84+75], false, false, true},
		{"half a triangle", whole[:84+25], false, false, false},
		{"no triangles", withCount(whole[:84], 0), false, false, true},
		{"no triangles but bytes", withCount(whole, 0), false, false, false},
		{"far too many", withCount(whole, 1<<32-1), false, false, true},
		{"header", whole[:80], false, false, false},
		{"text", text, false, true, false},
		{"nothing", nil, false, false, false},
	} {
		if got := stl.Fits(c.data); got != c.fits {
			t.Errorf("%s: Fits is %v", c.name, got)
		}
		if got := stl.IsText(c.data); got != c.isText {
			t.Errorf("%s: IsText is %v", c.name, got)
		}
		if got := stl.LooksBinary(c.data); got != c.looksBinary {
			t.Errorf("%s: LooksBinary is %v", c.name, got)
		}
	}
}

// Noise is not taken for coordinates: of a hundred thousand files of random bytes
// less than one in ten thousand may pass.
func TestNoiseIsNoSTL(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 3))
	const files, most = 100_000, 10
	passed := 0
	data := make([]byte, 84+8*50)
	for range files {
		for i := 0; i+4 <= len(data); i += 4 {
			binary.LittleEndian.PutUint32(data[i:], rng.Uint32())
		}
		if stl.LooksBinary(data) {
			passed++
		}
	}
	if passed > most {
		t.Errorf("seed %d: %d of %d files of noise pass", seed, passed, files)
	}
}
