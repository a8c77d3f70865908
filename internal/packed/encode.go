package packed

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

const (
	// Step in mm is what one unit of a coordinate stands for, unless the mesh is wider
	// than 65,535 of them. Scanners waver by 5 to 20 µm, so 4 µm cannot be seen.
	Step = 0.004
	// ValueStep in mm is what one unit of a value stands for where the caller asks
	// for nothing else.
	ValueStep = 0.005
	// None is the code of a vertex that has no value.
	None = 0xFFFF

	magic      = "SVM2"
	hasColour  = 1 << 0
	headerSize = 4 + 4 + 4 + 4*8 + 2
	codes      = math.MaxUint16 // the largest code of a coordinate
	// MaxNamed bounds the named values of one mesh, and their names' lengths.
	MaxNamed = 16
)

// Value is a named number per vertex, NaN where there is none.
type Value struct {
	Name string    // up to 255 bytes, for example "clearance"
	Step float64   // resolution in the value's unit; 0: ValueStep
	Of   []float64 // one per vertex
}

// Encode packs a mesh with its colours, if it has any, and named values. The result
// is gzip: send it with Content-Encoding: gzip, or as it is.
//
// A value is off by at most half its step; the step grows where the range of the
// values over 65,534 is wider. It panics if a value has another length than the
// vertices, if there are more than MaxNamed, or if a name is too long: those are
// defects of the caller. Coordinates must be finite, as decoders promise.
//
// Cost: O(faces), see BenchmarkEncode. Deterministic.
func Encode(m *mesh.Mesh, values []Value) []byte {
	if len(values) > MaxNamed {
		panic("packed: too many named values")
	}
	c := walk(m)
	q := quantise(m, c)
	colours := len(m.Color) == len(m.Pos) && len(m.Color) > 0
	b := make([]byte, 0, headerSize+12*len(c.first)+4*len(c.tri))
	b = append(b, magic...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(c.first)))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(c.tri)))
	for _, x := range [...]float64{q.origin.X, q.origin.Y, q.origin.Z, q.step} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
	}
	flags := byte(0)
	if colours {
		flags |= hasColour
	}
	b = append(b, flags, byte(len(values)))
	scales := make([]scale, len(values))
	for i, v := range values {
		if len(v.Of) != len(m.Pos) || len(v.Name) > math.MaxUint8 {
			panic("packed: a value needs one number per vertex and a short name")
		}
		scales[i] = scaleOf(v)
		b = append(append(b, byte(len(v.Name))), v.Name...)
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(scales[i].least))
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(scales[i].step))
	}
	b = appendTriangles(b, c)
	b = appendPlanes(b, q.residuals(c)...)
	if colours {
		b = appendColours(b, m.Color, c.first)
	}
	for i, v := range values {
		b = appendPlanes(b, scales[i].residuals(v.Of, c.first))
	}
	return squeeze(b)
}

// squeeze compresses at the quickest level: higher ones take several times as long
// for a few per cent.
func squeeze(b []byte) []byte {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestSpeed)
	if err == nil {
		_, err = z.Write(b)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		panic("packed: writing to memory") // a bytes.Buffer does not fail
	}
	return out.Bytes()
}

// appendTriangles writes the steps, then what they leave open: for a corner that was
// met, how far it lies from the last such corner, folded; for a triangle apart, how
// far each corner lies behind the newest vertex, 0 for a new one. Fans follow the edge of
// those before them, so the corners that close them mostly follow one another.
func appendTriangles(b []byte, c course) []byte {
	b = append(b, c.step...)
	newest, met := int32(0), int32(0)
	for k, t := range c.tri {
		switch s := c.step[k]; {
		case s < metX:
			newest++
		case s < apart:
			b = binary.AppendUvarint(b, uint64(fold(t[2]-met)))
			met = t[2]
		default:
			for _, v := range t {
				b = binary.AppendUvarint(b, uint64(newest-v))
				if v == newest {
					newest++
				}
			}
		}
	}
	return b
}

// fold makes small numbers of either sign small: 0, -1, 1, -2, … become 0, 1, 2, 3, ….
func fold(d int32) uint32 { return uint32(d)<<1 ^ uint32(d>>31) }

// unfold is the inverse of fold.
func unfold(z uint32) int32 { return int32(z>>1) ^ -int32(z&1) }

// appendPlanes writes 16-bit numbers as their low bytes, then their high bytes.
func appendPlanes(b []byte, planes ...[]uint16) []byte {
	for _, p := range planes {
		for _, x := range p {
			b = append(b, byte(x))
		}
		for _, x := range p {
			b = append(b, byte(x>>8))
		}
	}
	return b
}

// appendColours writes red, green and blue apart, each as the difference to the
// vertex before.
func appendColours(b []byte, col []mesh.RGB, first []int32) []byte {
	for ch := range 3 {
		last := uint8(0)
		for _, v := range first {
			x := col[v][ch]
			b = append(b, x-last)
			last = x
		}
	}
	return b
}

// zigzag folds a difference modulo 65,536 so that small ones of either sign are
// small numbers.
func zigzag(d uint16) uint16 { return d<<1 ^ uint16(int16(d)>>15) }

// unzigzag is the inverse of zigzag.
func unzigzag(z uint16) uint16 { return z>>1 ^ -(z & 1) }

// grid holds the coordinates of the vertices, in the new order, in steps.
type grid struct {
	origin r3.Vec
	step   float64
	at     [][3]uint16
}

func quantise(m *mesh.Mesh, c course) grid {
	g := grid{step: Step, at: make([][3]uint16, len(c.first))}
	if len(c.first) == 0 {
		return g
	}
	box := r3.EmptyBox()
	for _, v := range c.first {
		box = box.Extend(m.Pos[v])
	}
	g.origin, g.step = box.Min, max(Step, box.Longest()/codes)
	for i, v := range c.first {
		d := m.Pos[v].Sub(g.origin)
		g.at[i] = [3]uint16{code(d.X, g.step), code(d.Y, g.step), code(d.Z, g.step)}
	}
	return g
}

// code is the nearest number of steps, within 0..codes.
func code(d, step float64) uint16 {
	return uint16(min(max(math.Round(d/step), 0), codes))
}

// residuals is what remains of each coordinate after a guess from the triangles
// sent before, see guess; x, y and z apart.
func (g grid) residuals(c course) [][]uint16 {
	n := len(c.first)
	r := [][]uint16{make([]uint16, n), make([]uint16, n), make([]uint16, n)}
	newest := int32(0)
	var before [3]int32
	for k, t := range c.tri {
		for i, v := range t {
			if v != newest {
				continue
			}
			p := guess(g.at, t, before, i, k > 0)
			for ax := range r {
				r[ax][v] = zigzag(g.at[v][ax] - p[ax])
			}
			newest++
		}
		before = t
	}
	return r
}

// guess foretells the coordinates of corner i of triangle t from those that are
// known when it is met. Where the triangle before holds the two other corners,
// the new one is expected opposite its third, as in a parallelogram; else in their
// middle; with one known corner, there; with none, at the vertex before.
func guess(at [][3]uint16, t, before [3]int32, i int, any bool) [3]uint16 {
	v := t[i]
	switch {
	case i == 2:
		a, b := at[t[0]], at[t[1]]
		if o := opposite(before, t[0], t[1]); any && o >= 0 {
			c := at[o]
			return [3]uint16{a[0] + b[0] - c[0], a[1] + b[1] - c[1], a[2] + b[2] - c[2]}
		}
		return [3]uint16{half(a[0], b[0]), half(a[1], b[1]), half(a[2], b[2])}
	case i == 1:
		return at[t[0]]
	case v > 0:
		return at[v-1]
	}
	return [3]uint16{}
}

func half(a, b uint16) uint16 { return uint16((uint32(a) + uint32(b)) / 2) }

// opposite returns the corner of t that is neither a nor b, where t holds both and
// they differ; else -1.
func opposite(t [3]int32, a, b int32) int32 {
	for i := range t {
		p, q := t[(i+1)%3], t[(i+2)%3]
		if p == a && q == b || p == b && q == a {
			return t[i]
		}
	}
	return -1
}

// scale says what the codes of a value mean: least + code·step.
type scale struct{ least, step float64 }

func scaleOf(v Value) scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range v.Of {
		if finite(x) {
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	s := scale{step: v.Step}
	if !(s.step > 0) {
		s.step = ValueStep
	}
	if lo <= hi {
		// a whole number of steps, so that round values stay round
		s.step = max(s.step, (hi-lo)/(None-2))
		s.least = math.Floor(lo/s.step) * s.step
	}
	return s
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// residuals is the difference of each code to that of the vertex before.
func (s scale) residuals(of []float64, first []int32) []uint16 {
	r := make([]uint16, len(first))
	last := uint16(0)
	for i, v := range first {
		x := uint16(None)
		if finite(of[v]) {
			x = uint16(min(max(math.Round((of[v]-s.least)/s.step), 0), None-1))
		}
		r[i] = zigzag(x - last)
		last = x
	}
	return r
}
