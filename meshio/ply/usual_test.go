package ply_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio/ply"
	"selvage/meshio/wire"
)

// sameBothWays fails the test if the short way changes the outcome.
func sameBothWays(t *testing.T, data []byte) (mesh.Soup, error) {
	t.Helper()
	s, l, err := ply.Decode(data)
	want, wantLayout, wantErr := ply.DecodeGenerally(data)
	if !reflect.DeepEqual(s, want) || l != wantLayout || fmt.Sprint(err) != fmt.Sprint(wantErr) {
		t.Fatalf("%q\n got %+v %+v %v\nwant %+v %+v %v", data, s, l, err, want, wantLayout, wantErr)
	}
	return s, err
}

// oddFile writes a small binary file whose layout is drawn: types of the numbers, further
// properties, polygons among the triangles, and now and then a number that is no place.
func oddFile(r *rand.Rand) []byte {
	var b bytes.Buffer
	vertices, faces := 3+r.IntN(6), r.IntN(8)
	one := func(words ...string) string { return words[r.IntN(len(words))] }
	coordinate := one("float", "float", "float32", "double")
	index, count := one("int", "int", "uint", "short"), one("uchar", "uchar", "ushort")
	colour := one("", "uchar", "uchar", "uint8", "char", "float")
	alpha, flags := r.IntN(3) == 0, r.IntN(4) == 0
	fmt.Fprintf(&b, "ply\nformat binary_little_endian 1.0\nelement vertex %d\n", vertices)
	if flags {
		b.WriteString("property uchar quality\n")
	}
	for _, name := range []string{"x", "y", "z"} {
		fmt.Fprintf(&b, "property %s %s\n", coordinate, name)
	}
	colours := 0
	if colour != "" {
		names := []string{"red", "green", "blue"}
		if alpha {
			names = append(names, "alpha")
		}
		colours = len(names)
		for _, name := range names {
			fmt.Fprintf(&b, "property %s %s\n", colour, name)
		}
	}
	fmt.Fprintf(&b, "element face %d\nproperty list %s %s vertex_indices\n", faces, count, index)
	marked := r.IntN(4) == 0
	if marked {
		b.WriteString("property uchar mark\n")
	}
	b.WriteString("end_header\n")
	put := func(typ string, v float64) {
		switch typ {
		case "float", "float32":
			binary.Write(&b, binary.LittleEndian, float32(v))
		case "double":
			binary.Write(&b, binary.LittleEndian, v)
		case "int":
			binary.Write(&b, binary.LittleEndian, int32(v))
		case "uint":
			binary.Write(&b, binary.LittleEndian, uint32(int32(v)))
		case "short", "ushort":
			binary.Write(&b, binary.LittleEndian, int16(v))
		default:
			b.WriteByte(byte(int(v)))
		}
	}
	for range vertices {
		if flags {
			b.WriteByte(7)
		}
		for range 3 {
			v := r.NormFloat64()
			if r.IntN(60) == 0 {
				v = []float64{math.NaN(), math.Inf(-1), math.Copysign(0, -1), 1e-40}[r.IntN(4)]
			}
			put(coordinate, v)
		}
		for range colours {
			put(colour, float64(r.IntN(256)))
		}
	}
	for range faces {
		n := 3
		if r.IntN(5) == 0 {
			n = r.IntN(6)
		}
		put(count, float64(n))
		for range n {
			v := r.IntN(vertices)
			if r.IntN(80) == 0 {
				v = []int{-1, vertices}[r.IntN(2)]
			}
			put(index, float64(v))
		}
		if marked {
			b.WriteByte(1)
		}
	}
	data := b.Bytes()
	if r.IntN(10) == 0 {
		data = data[:len(data)-r.IntN(min(30, len(data)))]
	}
	return data
}

// Oracle: the general decoder, on files of many layouts, sound and not.
func TestUsualFilesAgainstTheGeneralWay(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 5))
	sound := 0
	for range 5000 {
		if _, err := sameBothWays(t, oddFile(r)); err == nil {
			sound++
		}
	}
	if sound < 1000 || sound > 4800 {
		t.Errorf("%d of 5000 files are sound: the test is one-sided", sound)
	}
	for _, o := range options {
		meshtest.Mangled(small(t, o), r, func(b []byte) { sameBothWays(t, b) })
	}
}

// mostBytes bounds what decoding allocates, as a multiple of the result; the header and
// the decoder itself come on top.
const mostBytes = 1.1

func TestDecodeAllocatesTheResult(t *testing.T) {
	m := meshtest.Painted(meshtest.Sphere(10, 100))
	var b bytes.Buffer
	if err := ply.Encode(&b, m, ply.Options{Encoding: wire.BinaryLittle}); err != nil {
		t.Fatal(err)
	}
	var stats [2]runtime.MemStats
	runtime.ReadMemStats(&stats[0])
	decode(b.Bytes())
	runtime.ReadMemStats(&stats[1])
	result := float64((24+3)*len(m.Pos) + 12*len(m.Tri))
	if got := float64(stats[1].TotalAlloc-stats[0].TotalAlloc) / result; got > mostBytes {
		t.Errorf("decoding allocates %.2f times the result, want %g at most", got, mostBytes)
	}
}
