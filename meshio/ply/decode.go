package ply

import (
	"bytes"
	"fmt"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

// Decode reads a PLY file.
//
// Faces of fewer than three corners are left out and counted in the layout, as
// are bytes after the last row. The error is a *[wire.Error]. Memory is bounded
// by a small multiple of len(data), whatever the header claims. Cost:
// O(len(data)).
func Decode(data []byte) (mesh.Soup, wire.Layout, error) { return decode(data, false) }

// decode is Decode; general leaves out the short way for usual files.
func decode(data []byte, general bool) (mesh.Soup, wire.Layout, error) {
	if len(data) == 0 {
		return mesh.Soup{}, wire.Layout{}, &wire.Error{
			Format: "PLY", Kind: wire.Empty,
			Detail: "the file has no bytes", Hint: wire.HintCopy,
		}
	}
	h, err := parseHeader(data)
	if err != nil {
		return mesh.Soup{}, wire.Layout{}, err
	}
	d, err := newDecoder(h)
	if err != nil {
		return mesh.Soup{}, d.layout, err
	}
	d.general = general
	if h.encoding == wire.ASCII {
		err = d.readText()
	} else {
		err = d.readBinary()
	}
	if err == nil {
		d.soup.Color = d.colors.rgb()
		err = wire.CheckSize(d.soup, h.name())
	}
	if err != nil {
		return mesh.Soup{}, d.layout, err
	}
	return d.soup, d.layout, nil
}

// slot says what a property of the vertices is for.
type slot int8

// The slots: coordinates, colours, and none.
const (
	slotX slot = iota
	slotY
	slotZ
	slotRed
	slotGreen
	slotBlue
	numSlots
	slotNone = -1
)

// decoder holds what both encodings need.
type decoder struct {
	h      *header
	soup   mesh.Soup
	layout wire.Layout
	colors colors

	vertex   int    // index of the element
	face     int    // index of the element
	vertices int    // the header's count
	slots    []slot // of each property of the vertices
	corners  int    // index of the property that lists a face's corners

	general bool // leave out the short way for usual files: the oracle of the tests

	element int // being read
	row     int // being read, from 0
}

// newDecoder finds in the header what is to be read.
func newDecoder(h *header) (*decoder, error) {
	d := &decoder{h: h, layout: wire.Layout{Encoding: h.encoding}}
	fail := func(k wire.Kind, detail, hint string) (*decoder, error) {
		return d, &wire.Error{Format: h.name(), Kind: k, Detail: detail, Hint: hint}
	}
	d.vertex, d.face = h.element("vertex"), h.element("face")
	switch {
	case d.vertex < 0:
		return fail(wire.Syntax, "the header lists no vertices", wire.HintExport)
	case d.face < 0 && h.element("tristrips") >= 0:
		return fail(wire.Unsupported, "the surface is stored as triangle strips",
			"export the scan as single triangles, or as STL")
	case d.face < 0:
		return fail(wire.NoFaces, "the header lists no faces",
			"export the scan as a surface, not as a cloud of points")
	}
	if name := d.findSlots(h.elements[d.vertex]); name != "" {
		return fail(wire.Syntax, "the vertices have no property "+name, wire.HintExport)
	}
	faces := h.elements[d.face]
	d.corners = faces.find("vertex_indices", "vertex_index")
	if d.corners < 0 || !faces.props[d.corners].list || faces.props[d.corners].typ.float {
		return fail(wire.Syntax, "the faces have no list of vertex indices", wire.HintExport)
	}
	d.vertices = h.elements[d.vertex].rows
	return d, nil
}

// findSlots assigns the properties of the vertices and returns the name of a
// coordinate that is missing, or nothing.
func (d *decoder) findSlots(e element) (missing string) {
	d.slots = make([]slot, len(e.props))
	for i := range d.slots {
		d.slots[i] = slotNone
	}
	for s, name := range [...]string{"x", "y", "z"} {
		i := e.find(name)
		if i < 0 || e.props[i].list {
			return name
		}
		d.slots[i] = slot(s)
	}
	for _, prefix := range [...][3]string{
		{"red", "green", "blue"}, {"r", "g", "b"}, {"diffuse_red", "diffuse_green", "diffuse_blue"},
	} {
		r, g, b := e.find(prefix[0]), e.find(prefix[1]), e.find(prefix[2])
		if r < 0 || g < 0 || b < 0 || e.props[r].list || e.props[g].list || e.props[b].list {
			continue
		}
		d.slots[r], d.slots[g], d.slots[b] = slotRed, slotGreen, slotBlue
		d.colors = newColors(e.props[r].typ, e.props[g].typ, e.props[b].typ)
		break
	}
	return ""
}

// setVertex stores a row of the vertices.
func (d *decoder) setVertex(v *[numSlots]float64) error {
	p := r3.Vec{X: v[slotX], Y: v[slotY], Z: v[slotZ]}
	if !p.Finite() {
		return d.fail(wire.Number, "a coordinate is not a finite number", wire.HintExport)
	}
	d.soup.Pos = append(d.soup.Pos, p)
	d.colors.add(v[slotRed], v[slotGreen], v[slotBlue])
	return nil
}

// fan collects the corners of one face and appends its triangles.
type fan struct {
	first, last int32
	n           int
}

// corner adds the next corner of the face being read.
func (d *decoder) corner(f *fan, v int) error {
	if v < 0 || v >= d.vertices {
		return d.fail(wire.Index, fmt.Sprintf("corner %d is vertex %d, the file has %d (numbered from 0)",
			f.n+1, v, d.vertices), wire.HintExport)
	}
	if f.n >= 2 {
		d.soup.Tri = append(d.soup.Tri, [3]int32{f.first, f.last, int32(v)})
	}
	if f.n == 0 {
		f.first = int32(v)
	}
	f.last = int32(v)
	f.n++
	return nil
}

// endFace counts a face that is no triangle.
func (d *decoder) endFace(f fan) {
	switch {
	case f.n < 3:
		d.layout.Short++
	case f.n > 3:
		d.layout.Polygons++
	}
}

// fail returns an error at the row being read.
func (d *decoder) fail(k wire.Kind, detail, hint string) error {
	return &wire.Error{
		Format: d.h.name(), Kind: k, Unit: d.h.elements[d.element].name,
		Index: d.row + 1, Detail: detail, Hint: hint,
	}
}

// ends returns the error about a body that ends within the row being read.
func (d *decoder) ends() error {
	return d.fail(wire.Truncated, "the file ends here", wire.HintCopy)
}

// maxRows is how many vertices an int32 can number.
const maxRows = 1<<31 - 1

// promise checks that the body can hold the rows of an element, each of which
// takes at least least bytes, and makes room for them.
func (d *decoder) promise(i, least, have int) error {
	e := d.h.elements[i]
	d.element, d.row = i, 0
	if least > 0 && e.rows > have/least {
		return &wire.Error{
			Format: d.h.name(), Kind: wire.Truncated,
			Detail: fmt.Sprintf("the header promises %d rows of element %s, the file has room for %d at most",
				e.rows, wire.Quote([]byte(e.name)), have/least),
			Hint: wire.HintCopy,
		}
	}
	if (i == d.vertex || i == d.face) && e.rows > maxRows {
		return &wire.Error{
			Format: d.h.name(), Kind: wire.TooLarge,
			Detail: fmt.Sprintf("%d rows of element %s are more than the %d that can be numbered",
				e.rows, wire.Quote([]byte(e.name)), maxRows),
			Hint: "export the scan in a coarser resolution",
		}
	}
	switch i {
	case d.vertex:
		d.soup.Pos = make([]r3.Vec, 0, e.rows)
		d.colors.grow(e.rows)
	case d.face:
		d.soup.Tri = make([][3]int32, 0, e.rows)
	}
	return nil
}

// trailing counts the bytes of rest that are not white space at its ends.
func trailing(rest []byte) int { return len(bytes.TrimSpace(rest)) }
