package wire

import (
	"fmt"
	"strings"

	"selvage/mesh"
)

// Kind sorts what can be wrong with a mesh file.
type Kind int

// The kinds of error.
const (
	Unknown     Kind = iota // the bytes are no mesh format that is read here
	Empty                   // no bytes at all, or nothing but white space
	Truncated               // the file ends before what its header promises
	Syntax                  // a word or a header line that the format does not allow
	Number                  // text that is no number, or a number that is not finite
	Index                   // a corner that names a vertex that does not exist
	NoFaces                 // sound, but without a single triangle
	Unsupported             // sound, but of a sort that is not read here
	TooLarge                // more than the ids of a mesh can number
)

// kindNames are the words of [Kind.String], in order.
var kindNames = [...]string{
	"unknown format", "empty", "truncated", "syntax", "number",
	"index", "no faces", "unsupported", "too large",
}

// String returns a short name of the kind, as the corpus manifests write it.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return fmt.Sprintf("kind %d", int(k))
	}
	return kindNames[k]
}

// Hints that serve several decoders.
const (
	HintExport = "export the scan again"
	HintCopy   = "copy or export the file again; the transfer may have been cut off"
)

// Error says that a mesh file could not be decoded. Its text is one line: what
// was being decoded, where, what is wrong, what to try.
type Error struct {
	Format string // what was being decoded: "binary STL", "ASCII PLY", "OBJ", "mesh file"
	Kind   Kind
	Unit   string // what Index counts: "triangle", "vertex", "face", "line"; empty for the whole file
	Index  int    // from 1
	Detail string // what is wrong
	Hint   string // what to try
}

// Error returns the message.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString("decode ")
	b.WriteString(e.Format)
	if e.Unit != "" {
		fmt.Fprintf(&b, ": %s %d", e.Unit, e.Index)
	}
	b.WriteString(": ")
	b.WriteString(e.Detail)
	if e.Hint != "" {
		b.WriteString("; ")
		b.WriteString(e.Hint)
	}
	return b.String()
}

// maxQuoted bounds how much of a file a message repeats.
const maxQuoted = 24

// Quote returns a word of a file for use in a message: quoted, with everything
// that is not printable escaped, and cut where it is long.
func Quote(word []byte) string {
	if len(word) > maxQuoted {
		return fmt.Sprintf("%+q…", word[:maxQuoted])
	}
	return fmt.Sprintf("%+q", word)
}

// maxFaces is the number of faces whose half-edges an int32 can number.
const maxFaces = (1<<31 - 1) / 3

// CheckSize returns an error if the soup is empty of triangles or larger than
// the ids of a mesh can number.
func CheckSize(s mesh.Soup, format string) error {
	faces := len(s.Tri)
	if s.Tri == nil {
		faces = len(s.Pos) / 3
	}
	switch {
	case faces == 0 && len(s.Pos) > 0:
		return &Error{
			Format: format, Kind: NoFaces, Detail: "holds points but not one triangle",
			Hint: "export the scan as a surface, not as a cloud of points",
		}
	case faces == 0:
		return &Error{Format: format, Kind: NoFaces, Detail: "holds not one triangle", Hint: HintExport}
	case faces > maxFaces:
		return &Error{
			Format: format, Kind: TooLarge,
			Detail: fmt.Sprintf("%d triangles are more than the %d that can be numbered", faces, maxFaces),
			Hint:   "export the scan in a coarser resolution",
		}
	}
	return nil
}
