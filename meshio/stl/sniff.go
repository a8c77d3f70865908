package stl

import (
	"bytes"
	"encoding/binary"
	"math"

	"selvage/meshio/wire"
)

// Fits reports whether data has exactly the size that its own count of triangles
// demands of a binary file.
func Fits(data []byte) bool {
	n, ok := count(data)
	return ok && n > 0 && uint64(len(data)) == size(n)
}

// textProbe is how many bytes are looked at to tell text from binary: more than
// the header and the first facet of a binary file.
const textProbe = 512

// IsText reports whether data is to be read as an ASCII file: it starts with the
// word "solid" and holds no zero byte near its start. The count of a binary file
// has one unless it claims 2²⁴ triangles or more, which no scan has.
func IsText(data []byte) bool {
	word := wire.NewText(data).Word()
	probe := data[:min(len(data), textProbe)]
	return bytes.EqualFold(word, []byte("solid")) && bytes.IndexByte(probe, 0) < 0
}

// Bounds of what a coordinate of a binary file can be, in any unit of length
// from the micrometre to the metre, with much room. Of random float32, a third
// lies between: seventy-two of them, eight facets, never do by chance.
const (
	leastCoordinate = 1e-15 // smaller ones are noise of a rotation about the origin
	mostCoordinate  = 1e9
	facetProbe      = 8
)

// LooksBinary reports whether data looks like a binary file although its size
// may not fit: cut off, or with bytes behind the last triangle. The corners
// of the first facets must be numbers that coordinates can be.
func LooksBinary(data []byte) bool {
	n, ok := count(data)
	if !ok || (n == 0 && len(data) > prefixSize) {
		return false
	}
	for f := range min(int64(n), facetProbe) {
		at := prefixSize + facetSize*int(f)
		if at+facetSize > len(data) {
			return f > 0
		}
		for i := at + normalSize; i < at+normalSize+3*cornerSize; i += 4 {
			c := math.Abs(float(binary.LittleEndian.Uint32(data[i:])))
			if c != 0 && !(c >= leastCoordinate && c <= mostCoordinate) {
				return false
			}
		}
	}
	return true
}
