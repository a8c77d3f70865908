package ply_test

import (
	"bytes"
	"fmt"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/ply"
	"selvage/meshio/wire"
)

// perSize runs a benchmark on files of about 100 k, 400 k and 1.6 M triangles
// with colours.
func perSize(b *testing.B, o ply.Options, f func([]byte)) {
	for _, n := range []int{112, 224, 448} {
		m := meshtest.Painted(meshtest.Single(meshtest.Sphere(30, n)))
		var buf bytes.Buffer
		if err := ply.Encode(&buf, m, o); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("triangles=%dk", len(m.Tri)/1000), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(buf.Len()))
			for b.Loop() {
				f(buf.Bytes())
			}
		})
	}
}

// decode reads a file that is known to be sound.
func decode(data []byte) mesh.Soup {
	s, _, err := ply.Decode(data)
	if err != nil {
		panic(err)
	}
	return s
}

func BenchmarkDecodeBinary(b *testing.B) {
	perSize(b, ply.Options{Encoding: wire.BinaryLittle}, func(data []byte) { decode(data) })
}

func BenchmarkDecodeText(b *testing.B) { perSize(b, ply.Options{}, func(data []byte) { decode(data) }) }

func BenchmarkDecodeBinaryAndBuild(b *testing.B) {
	perSize(b, ply.Options{Encoding: wire.BinaryLittle}, func(data []byte) { mesh.Build(decode(data)) })
}
