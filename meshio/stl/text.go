package stl

import (
	"bytes"
	"fmt"

	"selvage/mesh"
	"selvage/meshio/wire"
	"selvage/r3"
)

// textDecoder reads the words of an ASCII file.
//
//	solid NAME
//	  facet normal x y z
//	    outer loop
//	      vertex x y z      three times
//	    endloop
//	  endfacet
//	endsolid NAME
//
// Line ends count as any white space. Several solids are read as one surface.
// The numbers of a normal are not looked at: exporters write nan for a
// triangle without area.
type textDecoder struct {
	*wire.Text
	soup   mesh.Soup
	layout wire.Layout
	facets int
	loop   []r3.Vec // corners of the facet being read
}

// bytesPerFacet is the least that the text of one facet takes, from "facet" to
// "endfacet" with one-digit coordinates; it bounds the guess of how many come.
const bytesPerFacet = 84

// decodeText reads an ASCII file.
func decodeText(data []byte) (mesh.Soup, wire.Layout, error) {
	d := &textDecoder{Text: wire.NewText(data), loop: make([]r3.Vec, 0, 3)}
	d.layout.Encoding = wire.ASCII
	d.soup.Pos = make([]r3.Vec, 0, 3*facetsIn(data))
	for {
		rest := bytes.TrimSpace(d.Rest())
		word := d.Word()
		switch {
		case len(word) == 0 || (!is(word, "solid") && d.facets > 0):
			d.layout.Trailing = len(rest)
			return d.soup, d.layout, wire.CheckSize(d.soup, nameASCII)
		case !is(word, "solid"):
			return mesh.Soup{}, d.layout, d.unexpected(word, "solid")
		}
		if err := d.solid(); err != nil {
			return mesh.Soup{}, d.layout, err
		}
	}
}

// facetsIn guesses from the length of the first facet how many the data holds.
func facetsIn(data []byte) int {
	const word = "endfacet"
	probe := data[:min(len(data), 4*textProbe)]
	first := bytes.Index(probe, []byte(word))
	if first < 0 {
		return 0
	}
	second := bytes.Index(probe[first+len(word):], []byte(word))
	if second < 0 {
		return 1
	}
	return len(data)/max(second+len(word), bytesPerFacet) + 1
}

// solid reads a solid after its first word.
func (d *textDecoder) solid() error {
	for inFacet := d.name(); ; {
		if inFacet {
			if err := d.facet(); err != nil {
				return err
			}
		}
		switch word := d.Word(); {
		case is(word, "facet"):
			if word := d.Word(); !is(word, "normal") {
				return d.unexpected(word, "normal")
			}
			inFacet = true
		case is(word, "endsolid"):
			if inFacet = d.name(); !inFacet {
				return nil
			}
		case len(word) == 0:
			return d.fail(wire.Truncated, "the file ends without endsolid", wire.HintCopy)
		default:
			return d.unexpected(word, "facet or endsolid")
		}
	}
}

// name steps over the name of a solid, which may be any words up to the end of
// the line. It reports whether the words "facet normal" have ended it, as in a
// file that is all one line.
func (d *textDecoder) name() (inFacet bool) {
	for {
		word := d.WordOnLine()
		for is(word, "facet") {
			if word = d.WordOnLine(); is(word, "normal") {
				return true
			}
		}
		if len(word) == 0 {
			return false
		}
	}
}

// facet reads one facet after its first two words.
func (d *textDecoder) facet() error {
	d.facets++
	for range 3 {
		d.Word()
	}
	for _, want := range [...]string{"outer", "loop"} {
		if word := d.Word(); !is(word, want) {
			return d.unexpected(word, want)
		}
	}
	if err := d.corners(); err != nil {
		return err
	}
	if word := d.Word(); !is(word, "endfacet") {
		return d.unexpected(word, "endfacet")
	}
	d.fan()
	return nil
}

// corners reads the loop of a facet, with its last word.
func (d *textDecoder) corners() error {
	d.loop = d.loop[:0]
	for {
		word := d.Word()
		if is(word, "endloop") {
			return nil
		}
		if !is(word, "vertex") {
			return d.unexpected(word, "vertex or endloop")
		}
		var p [3]float64
		for i := range p {
			v, word, ok := d.Float()
			if !ok {
				return d.number(word)
			}
			p[i] = v
		}
		d.loop = append(d.loop, r3.Vec{X: p[0], Y: p[1], Z: p[2]})
	}
}

// fan appends the loop as triangles.
func (d *textDecoder) fan() {
	switch {
	case len(d.loop) < 3:
		d.layout.Short++
	case len(d.loop) > 3:
		d.layout.Polygons++
	}
	for i := 2; i < len(d.loop); i++ {
		d.soup.Pos = append(d.soup.Pos, d.loop[0], d.loop[i-1], d.loop[i])
	}
}

// is reports whether a word of the file is the given one, in any case.
func is(word []byte, want string) bool {
	return string(word) == want || bytes.EqualFold(word, []byte(want))
}

// fail returns an error at the facet being read, or at the line if there is none
// yet.
func (d *textDecoder) fail(k wire.Kind, detail, hint string) error {
	e := &wire.Error{Format: nameASCII, Kind: k, Unit: "line", Index: d.Line(), Detail: detail, Hint: hint}
	if d.facets > 0 {
		e.Detail = fmt.Sprintf("triangle %d: %s", d.facets, detail)
	}
	return e
}

// unexpected returns an error about a word that the format does not allow here.
func (d *textDecoder) unexpected(word []byte, want string) error {
	if len(d.Rest()) == 0 { // the word may be the first part of a right one
		return d.fail(wire.Truncated, "the file ends where "+want+" should stand", wire.HintCopy)
	}
	return d.fail(wire.Syntax, wire.Quote(word)+" stands where "+want+" should", wire.HintExport)
}

// number returns an error about a word that is no coordinate.
func (d *textDecoder) number(word []byte) error {
	if len(d.Rest()) == 0 {
		return d.unexpected(word, "a coordinate")
	}
	return d.fail(wire.Number, wire.Quote(word)+" is not a finite number", wire.HintExport)
}
