package stl

import (
	"encoding/binary"
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

// The layout of a binary file, in bytes.
const (
	headerSize   = 80
	countSize    = 4
	prefixSize   = headerSize + countSize
	facetSize    = 50
	normalSize   = 12
	cornerSize   = 12
	nameBinary   = "binary STL"
	nameASCII    = "ASCII STL"
	exponentMask = 0x7f800000 // all ones in the exponent: infinite or not a number
)

// Decode reads an STL file, telling binary from ASCII by the bytes alone. The
// soup has no indices: every three points are a triangle.
//
// Bytes after the last triangle of a binary file are not read but counted in the
// layout. The error is a *[wire.Error]. Memory is 72 bytes per triangle found in
// the data, never per triangle promised by the header. Cost: O(len(data)).
func Decode(data []byte) (mesh.Soup, wire.Layout, error) {
	if IsText(data) {
		return decodeText(data)
	}
	return decodeBinary(data)
}

// count returns the number of triangles that a binary file claims.
func count(data []byte) (n uint32, ok bool) {
	if len(data) < prefixSize {
		return 0, false
	}
	return binary.LittleEndian.Uint32(data[headerSize:]), true
}

// size returns the size in bytes of a binary file of n triangles.
func size(n uint32) uint64 { return prefixSize + facetSize*uint64(n) }

// decodeBinary reads a binary file.
func decodeBinary(data []byte) (mesh.Soup, wire.Layout, error) {
	layout := wire.Layout{Encoding: wire.BinaryLittle}
	n, err := checkCount(data)
	if err != nil {
		return mesh.Soup{}, layout, err
	}
	layout.Trailing = len(data) - int(size(n))
	pos := make([]r3.Vec, 3*int(n))
	for f := range int(n) {
		at := prefixSize + facetSize*f + normalSize
		rec := data[at : at+3*cornerSize]
		var bad bool
		for i := range 3 {
			x := binary.LittleEndian.Uint32(rec[cornerSize*i:])
			y := binary.LittleEndian.Uint32(rec[cornerSize*i+4:])
			z := binary.LittleEndian.Uint32(rec[cornerSize*i+8:])
			bad = bad || notFinite(x) || notFinite(y) || notFinite(z)
			pos[3*f+i] = r3.Vec{X: float(x), Y: float(y), Z: float(z)}
		}
		if bad {
			return mesh.Soup{}, layout, &wire.Error{
				Format: nameBinary, Kind: wire.Number,
				Unit: "triangle", Index: f + 1,
				Detail: "a coordinate is not a finite number", Hint: wire.HintExport,
			}
		}
	}
	s := mesh.Soup{Pos: pos}
	return s, layout, wire.CheckSize(s, nameBinary)
}

// checkCount returns the number of triangles of a binary file, having compared
// it with the bytes that there are.
func checkCount(data []byte) (uint32, error) {
	fail := func(k wire.Kind, detail, hint string) (uint32, error) {
		return 0, &wire.Error{Format: nameBinary, Kind: k, Detail: detail, Hint: hint}
	}
	n, ok := count(data)
	switch {
	case len(data) == 0:
		return fail(wire.Empty, "the file has no bytes", wire.HintCopy)
	case !ok:
		return fail(wire.Truncated, fmt.Sprintf("the file ends after %d bytes, within its header",
			len(data)), wire.HintCopy)
	case uint64(len(data)) < size(n):
		return fail(wire.Truncated, fmt.Sprintf(
			"the header promises %d triangles (%d bytes), the file has room for %d (%d bytes)",
			n, size(n), (len(data)-prefixSize)/facetSize, len(data)), wire.HintCopy)
	case n == 0:
		return fail(wire.NoFaces, "holds not one triangle", wire.HintExport)
	}
	return n, nil
}

// notFinite reports whether the bits are those of an infinity or a NaN.
func notFinite(b uint32) bool { return b&exponentMask == exponentMask }

// float returns the number with the given bits.
func float(b uint32) float64 { return float64(math.Float32frombits(b)) }
