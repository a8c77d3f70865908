package stl_test

import (
	"bytes"
	"fmt"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/stl"
)

// perSize runs a benchmark on files of about 100 k, 400 k and 1.6 M triangles.
func perSize(b *testing.B, encode func(*bytes.Buffer, *mesh.Mesh) error, f func([]byte)) {
	for _, n := range []int{112, 224, 448} {
		m := meshtest.Single(meshtest.Sphere(30, n))
		var buf bytes.Buffer
		if err := encode(&buf, m); err != nil {
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
	s, _, err := stl.Decode(data)
	if err != nil {
		panic(err)
	}
	return s
}

func binaryFile(b *bytes.Buffer, m *mesh.Mesh) error { return stl.Encode(b, m) }
func textFile(b *bytes.Buffer, m *mesh.Mesh) error   { return stl.EncodeText(b, m) }

func BenchmarkDecodeBinary(b *testing.B) { perSize(b, binaryFile, func(data []byte) { decode(data) }) }

func BenchmarkDecodeText(b *testing.B) { perSize(b, textFile, func(data []byte) { decode(data) }) }

func BenchmarkDecodeBinaryAndBuild(b *testing.B) {
	perSize(b, binaryFile, func(data []byte) { mesh.Build(decode(data)) })
}
