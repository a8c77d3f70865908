package obj_test

import (
	"bytes"
	"fmt"
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/obj"
)

func BenchmarkDecode(b *testing.B) {
	for _, n := range []int{112, 224, 448} {
		m := meshtest.Painted(meshtest.Single(meshtest.Sphere(30, n)))
		var buf bytes.Buffer
		if err := obj.Encode(&buf, m); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("triangles=%dk", len(m.Tri)/1000), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(buf.Len()))
			for b.Loop() {
				if _, _, err := obj.Decode(buf.Bytes()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
