package obj

import (
	"bytes"
	"fmt"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

const name = "OBJ"

// decoder gathers the surface line by line.
type decoder struct {
	*wire.Text
	soup   mesh.Soup
	layout wire.Layout
	colors colors

	top     int // the highest index of a corner, from 1
	topLine int // the line that has it
	topFace int // the face that has it
	faces   int
}

// Decode reads an OBJ file.
//
// Faces of fewer than three corners are left out and counted in the layout. The
// error is a *[wire.Error]. Memory is a small multiple of len(data). Cost:
// O(len(data)).
func Decode(data []byte) (mesh.Soup, wire.Layout, error) {
	d := &decoder{Text: wire.NewText(data)}
	d.Continued = true
	d.soup.Pos = make([]r3.Vec, 0, lines(data, "v "))
	// Not nil, which would mean that every three points are a triangle.
	d.soup.Tri = make([][3]int32, 0, lines(data, "f "))
	for len(d.Rest()) > 0 {
		var err error
		switch word := d.WordOnLine(); string(word) {
		case "v":
			err = d.vertex()
		case "f":
			err = d.face()
		}
		if err != nil {
			return mesh.Soup{}, d.layout, err
		}
		d.SkipLine()
	}
	if err := d.check(data); err != nil {
		return mesh.Soup{}, d.layout, err
	}
	d.soup.Color = d.colors.rgb(len(d.soup.Pos))
	return d.soup, d.layout, nil
}

// lines counts the lines that start with the word, to make room for them; a file
// that hides some (by tabs, or line ends of old Macs) takes a little longer.
func lines(data []byte, word string) int { return bytes.Count(data, []byte("\n"+word)) + 1 }

// check looks at what can be judged only at the end: whether there is anything,
// and whether all corners name vertices. A face may stand before its vertices.
func (d *decoder) check(data []byte) error {
	if len(bytes.TrimSpace(wire.TrimBOM(data))) == 0 {
		return &wire.Error{Format: name, Kind: wire.Empty, Detail: "the file is empty", Hint: wire.HintCopy}
	}
	if d.top > len(d.soup.Pos) {
		return &wire.Error{
			Format: name, Kind: wire.Index, Unit: "line", Index: d.topLine,
			Detail: fmt.Sprintf("face %d has the vertex %d, the file has %d (numbered from 1)",
				d.topFace, d.top, len(d.soup.Pos)),
			Hint: wire.HintCopy,
		}
	}
	return wire.CheckSize(d.soup, name)
}

// fail returns an error at the current line.
func (d *decoder) fail(k wire.Kind, detail string) error {
	return &wire.Error{Format: name, Kind: k, Unit: "line", Index: d.Line(), Detail: detail, Hint: wire.HintExport}
}

// argument returns the next word of the line; empty at its end or at a comment.
func (d *decoder) argument() []byte {
	word := d.WordOnLine()
	if len(word) > 0 && word[0] == '#' {
		return nil
	}
	return word
}

// maxNumbers is how many numbers a vertex can have: place, weight, colour.
const maxNumbers = 7

// vertex reads the numbers of a line v.
func (d *decoder) vertex() error {
	var v [maxNumbers]float64
	n := 0
	for n < maxNumbers {
		word := d.argument()
		if len(word) == 0 {
			break
		}
		x, ok := wire.ParseFloat(word)
		if !ok {
			return d.fail(wire.Number, fmt.Sprintf("vertex %d: %s is not a finite number",
				len(d.soup.Pos)+1, wire.Quote(word)))
		}
		v[n] = x
		n++
	}
	switch {
	case n < 3:
		return d.fail(wire.Syntax, fmt.Sprintf("vertex %d has only %d coordinates", len(d.soup.Pos)+1, n))
	case n >= 6:
		d.colors.add(v[n-3 : n])
	}
	d.soup.Pos = append(d.soup.Pos, r3.Vec{X: v[0], Y: v[1], Z: v[2]})
	return nil
}

// face reads the corners of a line f.
func (d *decoder) face() error {
	d.faces++
	var first, last int32
	n := 0
	for {
		word := d.argument()
		if len(word) == 0 {
			break
		}
		v, err := d.corner(word)
		if err != nil {
			return err
		}
		if n == 0 {
			first = v
		}
		if n >= 2 {
			d.soup.Tri = append(d.soup.Tri, [3]int32{first, last, v})
		}
		last = v
		n++
	}
	switch {
	case n < 3:
		d.layout.Short++
	case n > 3:
		d.layout.Polygons++
	}
	return nil
}

// maxIndex is the highest number of a vertex that an id can hold.
const maxIndex = 1<<31 - 1

// corner returns the vertex, from 0, that a corner names.
func (d *decoder) corner(word []byte) (int32, error) {
	index := word
	if k := bytes.IndexByte(word, '/'); k >= 0 {
		index = word[:k]
	}
	v, ok := wire.ParseInt(index)
	have := len(d.soup.Pos)
	switch {
	case !ok:
		return 0, d.fail(wire.Number, fmt.Sprintf("face %d: %s names no vertex", d.faces, wire.Quote(word)))
	case v == 0 || v > maxIndex || v < -have:
		return 0, d.fail(wire.Index, fmt.Sprintf("face %d: there is no vertex %d, %d stand before it",
			d.faces, v, have))
	case v < 0:
		v += have + 1
	}
	if v > d.top {
		d.top, d.topLine, d.topFace = v, d.Line(), d.faces
	}
	return int32(v - 1), nil
}
