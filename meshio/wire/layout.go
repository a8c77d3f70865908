package wire

// Encoding is how a format writes its numbers.
type Encoding int

// The encodings.
const (
	ASCII Encoding = iota
	BinaryLittle
	BinaryBig
)

// String returns the encoding's name as a message says it.
func (e Encoding) String() string {
	switch e {
	case BinaryLittle:
		return "binary"
	case BinaryBig:
		return "binary big-endian"
	default:
		return "ASCII"
	}
}

// Layout is what a decoder has to tell about a file besides its surface.
type Layout struct {
	Encoding Encoding
	Trailing int // bytes after the last element, which were not read
	Polygons int // faces of more than three corners, cut into fans of triangles
	Short    int // faces of fewer than three corners, left out
}
