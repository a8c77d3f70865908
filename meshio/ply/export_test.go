package ply

import (
	"selvage/mesh"
	"selvage/meshio/wire"
)

// DecodeGenerally is [Decode] without the short way for usual files.
func DecodeGenerally(data []byte) (mesh.Soup, wire.Layout, error) { return decode(data, true) }
