package meshio_test

import (
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/meshio/wire"
)

func FuzzDecode(f *testing.F) {
	for _, dir := range []string{"testdata", "stl/testdata", "ply/testdata", "obj/testdata"} {
		meshtest.Seeds(f, dir)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		meshtest.CheckDecoder(t, data, func(data []byte) (mesh.Soup, wire.Layout, error) {
			s, f, err := meshio.Decode(data)
			if err == nil && f.Container == meshio.NoContainer {
				t.Error("neither an error nor a format")
			}
			return s, f.Layout, err
		})
	})
}
