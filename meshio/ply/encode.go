package ply

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"

	"selvage/mesh"
	"selvage/meshio/wire"
)

// Precision is the width of the coordinates in a binary file.
type Precision int

// The precisions.
const (
	Single Precision = iota // float32: at 100 mm from the origin to within 4 nanometres
	Double                  // float64: bit for bit
)

// Options say how to write. The zero value is ASCII.
type Options struct {
	Encoding  wire.Encoding // default wire.ASCII, which writes every digit
	Precision Precision     // default Single; no effect in ASCII
}

// Encode writes m as PLY, with the colours of its vertices where it has any.
// An error is w's own, or says which vertex is no number that the file can hold.
func Encode(w io.Writer, m *mesh.Mesh, o Options) error {
	most := math.MaxFloat64
	if o.Encoding == wire.ASCII {
		o.Precision = Double
	} else if o.Precision == Single {
		most = math.MaxFloat32
	}
	for v, p := range m.Pos {
		if !(max(math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)) <= most) { // a NaN is not either
			return fmt.Errorf("encode PLY: vertex %d: %v is no place that the file can hold", v, p)
		}
	}
	b := bufio.NewWriter(w)
	writeHeader(b, m, o)
	if o.Encoding == wire.ASCII {
		writeText(b, m)
	} else {
		writeBinary(b, m, o)
	}
	return b.Flush() // a bufio.Writer keeps its first error
}

// writeHeader writes the lines before the rows.
func writeHeader(b *bufio.Writer, m *mesh.Mesh, o Options) {
	encoding := [...]string{"ascii", "binary_little_endian", "binary_big_endian"}[o.Encoding]
	number := [...]string{"float", "double"}[o.Precision]
	fmt.Fprintf(b, "ply\nformat %s 1.0\nelement vertex %d\n", encoding, len(m.Pos))
	for _, name := range [...]string{"x", "y", "z"} {
		fmt.Fprintf(b, "property %s %s\n", number, name)
	}
	if m.Color != nil {
		b.WriteString("property uchar red\nproperty uchar green\nproperty uchar blue\n")
	}
	fmt.Fprintf(b, "element face %d\nproperty list uchar int vertex_indices\nend_header\n", len(m.Tri))
}

// writeText writes the rows in ASCII, with as many digits as bring every
// coordinate back bit for bit.
func writeText(b *bufio.Writer, m *mesh.Mesh) {
	for v, p := range m.Pos {
		row := b.AvailableBuffer()
		for i, c := range p.Array() {
			if i > 0 {
				row = append(row, ' ')
			}
			row = strconv.AppendFloat(row, c, 'g', -1, 64)
		}
		if m.Color != nil {
			for _, c := range m.Color[v] {
				row = strconv.AppendUint(append(row, ' '), uint64(c), 10)
			}
		}
		b.Write(append(row, '\n'))
	}
	for _, t := range m.Tri {
		row := append(b.AvailableBuffer(), '3')
		for _, v := range t {
			row = strconv.AppendInt(append(row, ' '), int64(v), 10)
		}
		b.Write(append(row, '\n'))
	}
}

// writeBinary writes the rows in binary.
func writeBinary(b *bufio.Writer, m *mesh.Mesh, o Options) {
	var order binary.AppendByteOrder = binary.LittleEndian
	if o.Encoding == wire.BinaryBig {
		order = binary.BigEndian
	}
	for v, p := range m.Pos {
		row := b.AvailableBuffer()
		for _, c := range p.Array() {
			if o.Precision == Double {
				row = order.AppendUint64(row, math.Float64bits(c))
			} else {
				row = order.AppendUint32(row, math.Float32bits(float32(c)))
			}
		}
		if m.Color != nil {
			row = append(row, m.Color[v][:]...)
		}
		b.Write(row)
	}
	for _, t := range m.Tri {
		row := append(b.AvailableBuffer(), 3)
		for _, v := range t {
			row = order.AppendUint32(row, uint32(v))
		}
		b.Write(row)
	}
}
