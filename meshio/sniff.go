package meshio

import (
	"bytes"

	"selvage/meshio/obj"
	"selvage/meshio/ply"
	"selvage/meshio/stl"
	"selvage/meshio/wire"
)

// sniff returns the format of data, or an error that says what it looks like.
//
// The order matters. A size that fits binary STL to the byte outweighs every
// word at the start, since its header is free text; the signatures of other
// formats come before the test for binary STL that does not fit, which goes by
// the look of its numbers.
func sniff(data []byte) (Container, error) {
	switch {
	case len(bytes.TrimSpace(wire.TrimBOM(data))) == 0:
		return NoContainer, &Error{
			Format: "mesh file", Kind: wire.Empty,
			Detail: "the file is empty", Hint: wire.HintCopy,
		}
	case stl.Fits(data):
		return STL, nil
	case ply.Is(data):
		return PLY, nil
	}
	if f, ok := foreignFormat(data); ok {
		return NoContainer, unknown(f.looks, f.hint)
	}
	switch {
	case stl.IsText(data), stl.LooksBinary(data):
		return STL, nil
	case !isText(data):
		return NoContainer, unknown("the bytes are neither STL, PLY nor OBJ", wire.HintExport+" as STL, PLY or OBJ")
	case obj.Is(data):
		return OBJ, nil
	}
	return NoContainer, unknown("the text is neither STL, PLY nor OBJ", wire.HintExport+" as STL, PLY or OBJ")
}

// unknown returns the error about a file of another format.
func unknown(detail, hint string) error {
	return &Error{Format: "mesh file", Kind: wire.Unknown, Detail: detail, Hint: hint}
}

// foreign is the signature of a format that is not read here.
type foreign struct {
	at          int // offset of the signature
	signature   string
	looks, hint string
}

// foreigns are formats that are mistaken for scans often enough to be named.
var foreigns = [...]foreign{
	{0, "PK\x03\x04", "this is a ZIP archive", "unpack it and give the mesh files inside"},
	{0, "\x1f\x8b", "this is a gzip archive", "unpack it and give the mesh file inside"},
	{0, "7z\xbc\xaf\x27\x1c", "this is a 7z archive", "unpack it and give the mesh files inside"},
	{0, "Rar!", "this is a RAR archive", "unpack it and give the mesh files inside"},
	{0, "%PDF", "this is a PDF document", "give the scan itself"},
	{0, "\x89PNG", "this is a picture", "give the scan itself"},
	{0, "\xff\xd8\xff", "this is a picture", "give the scan itself"},
	{0, "glTF", "this is a glTF scene", "export the scan as STL, PLY or OBJ"},
	{0, "SQLite format 3", "this is a database", "give the scan itself"},
	{128, "DICM", "this is a DICOM file", "take the mesh out of it as STL or OBJ"},
	{0, "\xff\xfe", "this is text in UTF-16", "save it as plain text (UTF-8)"},
	{0, "\xfe\xff", "this is text in UTF-16", "save it as plain text (UTF-8)"},
	{0, "<", "this is a web page or XML", "export the scan as STL, PLY or OBJ"},
	{0, "{", "this is JSON", "export the scan as STL, PLY or OBJ"},
}

// foreignFormat returns the format whose signature data bears.
func foreignFormat(data []byte) (foreign, bool) {
	data = wire.TrimBOM(data)
	for _, f := range foreigns {
		if len(data) >= f.at && bytes.HasPrefix(data[f.at:], []byte(f.signature)) {
			return f, true
		}
	}
	return foreign{}, false
}

// textProbe is how many bytes are looked at to tell text from binary.
const textProbe = 4096

// isText reports whether the start of data holds no control character besides
// white space. Letters of any encoding pass: comments hold names.
func isText(data []byte) bool {
	for _, c := range data[:min(len(data), textProbe)] {
		if c < '\t' || (c > '\r' && c < ' ' && c != escape) || c == rubout {
			return false
		}
	}
	return true
}

// Control characters that isText names.
const (
	escape = 0x1b // switches character sets in older Asian encodings
	rubout = 0x7f
)
