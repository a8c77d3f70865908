package meshio

import (
	"bytes"

	"selvage/meshio/ply"
	"selvage/meshio/stl"
	"selvage/meshio/wire"
)

// sniff returns the format of data, or an error that says what it looks like.
func sniff(data []byte) (Container, error) {
	switch {
	case len(bytes.TrimSpace(wire.TrimBOM(data))) == 0:
		return NoContainer, &Error{Format: "mesh file", Kind: wire.Empty,
			Detail: "the file is empty", Hint: wire.HintCopy}
	case ply.Is(data):
		return PLY, nil
	case stl.Fits(data), stl.IsText(data):
		return STL, nil
	}
	return OBJ, nil
}
