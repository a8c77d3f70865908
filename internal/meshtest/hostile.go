package meshtest

import (
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

// Bounds of what a decoder may allocate for n bytes: most·n + spare. The densest
// input is a binary polygon whose corners take a byte each and become a triangle
// of twelve, in a slice that grows; the spare is for errors and the test itself.
const (
	mostPerByte = 64
	spareMemory = 64 << 10
)

// CheckDecoder decodes data and fails the test if the decoder panics, takes more
// memory than the bytes justify, returns an error that is not a *[wire.Error] of
// one line, or returns a soup that breaks the promise of a decoder.
func CheckDecoder(t *testing.T, data []byte, decode func([]byte) (mesh.Soup, wire.Layout, error)) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	s, layout, err := decode(data)
	runtime.ReadMemStats(&after)
	if got, most := after.TotalAlloc-before.TotalAlloc, uint64(mostPerByte*len(data)+spareMemory); got > most {
		t.Errorf("%d bytes of input took %d bytes of memory, %d are allowed", len(data), got, most)
	}
	if layout.Trailing < 0 || layout.Trailing > len(data) {
		t.Errorf("%d trailing bytes of %d", layout.Trailing, len(data))
	}
	if err == nil {
		checkSoup(t, s)
		return
	}
	var typed *wire.Error
	if !errors.As(err, &typed) {
		t.Errorf("the error is a %T: %v", err, err)
	}
	if msg := err.Error(); strings.ContainsAny(msg, "\n\r") || len(msg) > 400 {
		t.Errorf("message %q", msg)
	}
}

// checkSoup fails the test if s breaks the promise of a decoder.
func checkSoup(t *testing.T, s mesh.Soup) {
	t.Helper()
	if len(s.Tri) == 0 && (s.Tri != nil || len(s.Pos) == 0 || len(s.Pos)%3 != 0) {
		t.Errorf("no error, but %d points and no triangle", len(s.Pos))
	}
	for i, p := range s.Pos {
		if !p.Finite() {
			t.Fatalf("point %d is %v", i, p)
		}
	}
	for f, tri := range s.Tri {
		for _, v := range tri {
			if v < 0 || int(v) >= len(s.Pos) {
				t.Fatalf("triangle %d is %v of %d points", f, tri, len(s.Pos))
			}
		}
	}
	if s.Color != nil && len(s.Color) != len(s.Pos) {
		t.Errorf("%d colours of %d points", len(s.Color), len(s.Pos))
	}
	mesh.NewTopology(first(mesh.Build(s))).Loops() // must not panic on anything a decoder lets through
}

// first returns the mesh of what Build returns.
func first(m *mesh.Mesh, _ mesh.Repair) *mesh.Mesh { return m }

// Seeds adds every file of the corpus in dir to a fuzz test.
func Seeds(f *testing.F, dir string) {
	for _, e := range Corpus(f, dir) {
		f.Add(e.Data)
	}
}

// Mangled calls f with many broken copies of data: each cut off at every length
// up to a limit, and with random bytes changed.
func Mangled(data []byte, rng *rand.Rand, f func([]byte)) {
	const cuts, changes, mostChanged = 2000, 2000, 4
	for n := range min(len(data), cuts) {
		f(data[:n])
	}
	for range changes {
		b := append([]byte(nil), data...)
		for range 1 + rng.IntN(mostChanged) {
			b[rng.IntN(len(b))] = byte(rng.Uint32())
		}
		f(b)
	}
}

// Jagged returns m with each vertex scaled by a random factor over many powers
// of ten, so that coordinates of all sizes and lengths occur.
func Jagged(m *mesh.Mesh, rng *rand.Rand) *mesh.Mesh {
	const powers = 30
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		pos[i] = p.Scale(math.Pow(10, powers*(rng.Float64()-0.5)))
	}
	return &mesh.Mesh{Pos: pos, Tri: m.Tri, Color: m.Color}
}

// ShortWriter fails after N bytes.
type ShortWriter struct{ N int }

// ErrShort is what a [ShortWriter] fails with.
var ErrShort = errors.New("no room left")

// Write takes what fits.
func (w *ShortWriter) Write(b []byte) (int, error) {
	if len(b) > w.N {
		n := w.N
		w.N = 0
		return n, ErrShort
	}
	w.N -= len(b)
	return len(b), nil
}

var _ io.Writer = (*ShortWriter)(nil)
