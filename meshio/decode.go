package meshio

import (
	"strings"

	"selvage/mesh"
	"selvage/meshio/obj"
	"selvage/meshio/ply"
	"selvage/meshio/stl"
	"selvage/meshio/wire"
)

// Error is what every decoder returns; see [wire.Error].
type Error = wire.Error

// Container is a file format.
type Container int

// The formats that are read.
const (
	NoContainer Container = iota
	STL
	PLY
	OBJ
)

// String returns the format's name.
func (c Container) String() string {
	return [...]string{"unknown", "STL", "PLY", "OBJ"}[c]
}

// Format says how a file was laid out.
type Format struct {
	Container Container
	wire.Layout
}

// String returns the format as a report says it, such as "binary STL".
func (f Format) String() string {
	switch f.Container {
	case NoContainer, OBJ:
		return f.Container.String()
	default:
		return f.Encoding.String() + " " + f.Container.String()
	}
}

// Named reports whether a file of this format should have the given name, going
// by the extension alone. A caller notes when it should not.
func (f Format) Named(name string) bool {
	ext := strings.ToLower(name[strings.LastIndexByte(name, '.')+1:])
	return ext == strings.ToLower(f.Container.String())
}

// Decode reads a mesh file of any format, going by its content alone.
//
// The soup is in the file's own unit. The error is an *[Error]; its one line
// says what was decoded, where it is wrong and what to try. Memory is bounded by
// a small multiple of len(data), whatever the file claims. Cost: O(len(data)).
// Deterministic.
func Decode(data []byte) (mesh.Soup, Format, error) {
	c, err := sniff(data)
	if err != nil {
		return mesh.Soup{}, Format{}, err
	}
	decode := [...]func([]byte) (mesh.Soup, wire.Layout, error){STL: stl.Decode, PLY: ply.Decode, OBJ: obj.Decode}[c]
	s, layout, err := decode(data)
	return s, Format{c, layout}, err
}
