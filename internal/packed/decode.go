package packed

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// Surface is a packed mesh, read back.
type Surface struct {
	Mesh   *mesh.Mesh
	Step   float64 // mm: each coordinate is off by at most half of it
	Values []Value
}

// ErrFormat is wrapped by every error about the bytes themselves.
var ErrFormat = errors.New("not a packed mesh")

// MaxRaw in bytes bounds what Decode unpacks: twenty million triangles, and far more
// than a browser draws.
const MaxRaw = 1 << 28

// Decode reads what Encode wrote. It is the twin of the reader in the browser: tests
// hold the two against each other. Nothing is allocated for a count that the bytes do
// not bear out.
func Decode(data []byte) (Surface, error) {
	raw, err := unpack(data)
	if err != nil {
		return Surface{}, fmt.Errorf("%w: %w", ErrFormat, err)
	}
	return decode(raw)
}

func unpack(data []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(io.LimitReader(z, MaxRaw+1))
	if err != nil {
		return nil, err
	}
	if len(raw) > MaxRaw {
		return nil, fmt.Errorf("more than %d bytes unpacked", MaxRaw)
	}
	return raw, nil
}

func decode(raw []byte) (Surface, error) {
	r := &reader{rest: raw}
	if string(r.take(len(magic))) != magic {
		return Surface{}, fmt.Errorf("%w: it does not begin with %s", ErrFormat, magic)
	}
	vertices, triangles := r.uint32(), r.uint32()
	origin := r3.V(r.float(), r.float(), r.float())
	g := grid{origin: origin, step: r.float()}
	flags, named := r.byte(), r.byte()
	if r.short || vertices > uint32(len(raw)) || triangles > uint32(len(raw)) || named > MaxNamed {
		return Surface{}, fmt.Errorf("%w: the counts do not fit %d bytes", ErrFormat, len(raw))
	}
	if s := g.origin.X + g.origin.Y + g.origin.Z + g.step; !finite(s) || !(g.step > 0) {
		return Surface{}, fmt.Errorf("%w: origin or step is no number", ErrFormat)
	}
	values := make([]Value, named)
	scales := make([]scale, named)
	for i := range values {
		values[i].Name = string(r.take(int(r.byte())))
		scales[i] = scale{least: r.float(), step: r.float()}
		values[i].Step = scales[i].step
		if !finite(scales[i].least) || !(scales[i].step > 0) || !finite(scales[i].step) {
			return Surface{}, fmt.Errorf("%w: value %d has no scale", ErrFormat, i)
		}
	}
	tri, ok := r.triangles(int(triangles), int32(vertices))
	if !ok {
		return Surface{}, fmt.Errorf("%w: triangles end early or name a vertex ahead of its turn", ErrFormat)
	}
	n := int(vertices)
	var res [3][]uint16
	for ax := range res {
		res[ax] = r.plane(n)
	}
	if r.short {
		return Surface{}, fmt.Errorf("%w: coordinates end early", ErrFormat)
	}
	m := &mesh.Mesh{Pos: g.points(tri, res, n), Tri: make([][3]mesh.VertexID, len(tri))}
	for k, t := range tri {
		m.Tri[k] = [3]mesh.VertexID{mesh.VertexID(t[0]), mesh.VertexID(t[1]), mesh.VertexID(t[2])}
	}
	if flags&hasColour != 0 {
		m.Color = r.colours(n)
	}
	for i := range values {
		values[i].Of = scales[i].numbers(r.plane(n))
	}
	if r.short || len(r.rest) > 0 {
		return Surface{}, fmt.Errorf("%w: it ends %s", ErrFormat, map[bool]string{true: "early", false: "late"}[r.short])
	}
	return Surface{Mesh: m, Step: g.step, Values: values}, nil
}

// points adds the residuals to the guesses, in the order in which vertices are met.
func (g grid) points(tri [][3]int32, res [3][]uint16, n int) []r3.Vec {
	g.at = make([][3]uint16, n)
	newest := int32(0)
	var before [3]int32
	for k, t := range tri {
		for i, v := range t {
			if v != newest {
				continue
			}
			p := guess(g.at, t, before, i, k > 0)
			for ax := range res {
				g.at[v][ax] = p[ax] + unzigzag(res[ax][v])
			}
			newest++
		}
		before = t
	}
	pos := make([]r3.Vec, n)
	for i, c := range g.at {
		pos[i] = g.origin.Add(r3.V(float64(c[0]), float64(c[1]), float64(c[2])).Scale(g.step))
	}
	return pos
}

func (s scale) numbers(res []uint16) []float64 {
	of := make([]float64, len(res))
	last := uint16(0)
	for i, z := range res {
		last += unzigzag(z)
		if of[i] = s.least + float64(float64(last)*s.step); last == None {
			of[i] = math.NaN()
		}
	}
	return of
}

// reader takes pieces off the front; short is set where there were too few bytes.
type reader struct {
	rest  []byte
	short bool
}

func (r *reader) take(n int) []byte {
	if n > len(r.rest) {
		r.short, r.rest = true, nil
		return nil
	}
	b := r.rest[:n]
	r.rest = r.rest[n:]
	return b
}

func (r *reader) byte() byte {
	if b := r.take(1); b != nil {
		return b[0]
	}
	return 0
}

func (r *reader) uint32() uint32 {
	if b := r.take(4); b != nil {
		return binary.LittleEndian.Uint32(b)
	}
	return 0
}

func (r *reader) float() float64 {
	if b := r.take(8); b != nil {
		return math.Float64frombits(binary.LittleEndian.Uint64(b))
	}
	return 0
}

// plane reads n numbers of 16 bits: low bytes, then high bytes. It returns nil where
// there are too few bytes.
func (r *reader) plane(n int) []uint16 {
	b := r.take(2 * n)
	if b == nil {
		return nil
	}
	p := make([]uint16, n)
	for i := range p {
		p[i] = uint16(b[i]) | uint16(b[n+i])<<8
	}
	return p
}

func (r *reader) colours(n int) []mesh.RGB {
	b := r.take(3 * n)
	if b == nil {
		return nil
	}
	col := make([]mesh.RGB, n)
	for ch := range 3 {
		last := uint8(0)
		for i := range col {
			last += b[ch*n+i]
			col[i][ch] = last
		}
	}
	return col
}

// triangles reads n triangles over exactly the given number of vertices.
func (r *reader) triangles(n int, vertices int32) (tri [][3]int32, ok bool) {
	step := r.take(n)
	if len(step) < n {
		return nil, false
	}
	tri = make([][3]int32, n)
	newest, met := int32(0), int32(0)
	for k, s := range step {
		t := &tri[k]
		switch {
		case s > apart || s < apart && k == 0:
			return nil, false
		case s == apart:
			for i := range t {
				if t[i] = newest - int32(r.uvarint(vertices)); t[i] == newest {
					newest++
				}
			}
		default:
			p, e := tri[k-1], s%metX
			t[0], t[1], t[2] = p[(e+1)%3], p[e], newest
			if s < metX {
				newest++
			} else {
				met += unfold(uint32(r.uvarint(2 * vertices)))
				t[2] = met
			}
		}
		if r.short || t[0] < 0 || t[1] < 0 || t[2] < 0 || t[2] >= newest || newest > vertices {
			return nil, false
		}
	}
	return tri, newest == vertices
}

// uvarint reads a number of variable length, at most most; another sets short.
func (r *reader) uvarint(most int32) uint64 {
	d, size := binary.Uvarint(r.rest)
	if size <= 0 || most < 0 || d > uint64(most) {
		r.short, r.rest = true, nil
		return 0
	}
	r.rest = r.rest[size:]
	return d
}
