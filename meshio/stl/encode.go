package stl

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"

	"selvage/mesh"
	"selvage/r3"
)

// header starts a binary file. It must not begin with "solid", which readers
// that trust it would take for text.
const header = "binary STL"

// Encode writes m as binary STL.
//
// Coordinates are rounded to float32, at 100 mm from the origin to within
// 4 nanometres; corners that were equal stay equal. Normals follow from the
// corners, zero where a triangle has none. Colours are lost. An error is w's
// own, or says which vertex a float32 cannot hold.
func Encode(w io.Writer, m *mesh.Mesh) error {
	if err := check(m, math.MaxFloat32); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	var start [prefixSize]byte
	copy(start[:], header)
	binary.LittleEndian.PutUint32(start[headerSize:], uint32(len(m.Tri)))
	b.Write(start[:]) // a bufio.Writer keeps its first error for Flush
	var rec [facetSize]byte
	for f := range mesh.FaceID(len(m.Tri)) {
		put(rec[:], normal(m, f))
		for i, v := range m.Tri[f] {
			put(rec[normalSize+cornerSize*i:], m.Pos[v])
		}
		b.Write(rec[:])
	}
	return b.Flush()
}

// EncodeText writes m as ASCII STL, with as many digits as bring every
// coordinate back bit for bit; normals have those of a float32. Colours are lost. An error is w's own, or says
// which vertex is not finite.
func EncodeText(w io.Writer, m *mesh.Mesh) error {
	if err := check(m, math.MaxFloat64); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	b.WriteString("solid\n")
	for f := range mesh.FaceID(len(m.Tri)) {
		line(b, "facet normal", normal(m, f), 32)
		b.WriteString("outer loop\n")
		for _, v := range m.Tri[f] {
			line(b, "vertex", m.Pos[v], 64)
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid\n")
	return b.Flush()
}

// check returns an error if a coordinate is not finite or above most.
func check(m *mesh.Mesh, most float64) error {
	for v, p := range m.Pos {
		if !(max(math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)) <= most) { // a NaN is not either
			return fmt.Errorf("encode STL: vertex %d: %v is no place that the file can hold", v, p)
		}
	}
	return nil
}

// normal returns the unit normal of a face, zero if it has none.
func normal(m *mesh.Mesh, f mesh.FaceID) r3.Vec { return m.AreaVector(f).UnitOr(r3.Vec{}) }

// put writes three float32.
func put(dst []byte, p r3.Vec) {
	for i, c := range p.Array() {
		binary.LittleEndian.PutUint32(dst[4*i:], math.Float32bits(float32(c)))
	}
}

// line writes a word and three numbers, with the digits that a float of so many
// bits needs.
func line(b *bufio.Writer, word string, p r3.Vec, bits int) {
	b.WriteString(word)
	for _, c := range p.Array() {
		b.WriteByte(' ')
		b.Write(strconv.AppendFloat(b.AvailableBuffer(), c, 'g', -1, bits))
	}
	b.WriteByte('\n')
}
