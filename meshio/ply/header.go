package ply

import (
	"bytes"
	"fmt"

	"selvage/meshio/wire"
)

// number is a type of number in a file.
type number struct {
	size   int // bytes in a binary file
	float  bool
	signed bool
}

// numberOf returns the type with the given name; each has an old and a new one.
func numberOf(name []byte) (number, bool) {
	switch string(name) {
	case "char", "int8":
		return number{size: 1, signed: true}, true
	case "uchar", "uint8":
		return number{size: 1}, true
	case "short", "int16":
		return number{size: 2, signed: true}, true
	case "ushort", "uint16":
		return number{size: 2}, true
	case "int", "int32":
		return number{size: 4, signed: true}, true
	case "uint", "uint32":
		return number{size: 4}, true
	case "float", "float32":
		return number{size: 4, float: true, signed: true}, true
	case "double", "float64":
		return number{size: 8, float: true, signed: true}, true
	}
	return number{}, false
}

// property is one column of an element.
type property struct {
	name  string
	typ   number
	list  bool
	count number // the type of a list's length
}

// least returns the fewest bytes of the property in a binary row.
func (p property) least() int {
	if p.list {
		return p.count.size
	}
	return p.typ.size
}

// element is one table of the file.
type element struct {
	name  string
	rows  int
	props []property
	fixed bool // no property is a list: every row has the same size
}

// least returns the fewest bytes of one binary row, which is the size of every
// row if e.fixed.
func (e element) least() int {
	n := 0
	for _, p := range e.props {
		n += p.least()
	}
	return n
}

// find returns the index of the first property that has one of the names, or -1.
func (e element) find(names ...string) int {
	for i, p := range e.props {
		for _, n := range names {
			if p.name == n {
				return i
			}
		}
	}
	return -1
}

// header is what stands before the rows.
type header struct {
	encoding wire.Encoding
	elements []element
	lines    int    // of the header
	body     []byte // what follows it
}

// name returns what a message calls the file.
func (h *header) name() string { return h.encoding.String() + " PLY" }

// element returns the index of the element with the given name, or -1.
func (h *header) element(name string) int {
	for i, e := range h.elements {
		if e.name == name {
			return i
		}
	}
	return -1
}

// Is reports whether data starts as a PLY file does, blank lines left out.
func Is(data []byte) bool {
	return string(wire.NewText(data).Word()) == "ply"
}

// parseHeader reads the header.
func parseHeader(data []byte) (*header, error) {
	h := &header{}
	p := &headerParser{Text: wire.NewText(data), h: h}
	if word := p.Word(); string(word) != "ply" {
		return nil, p.fail(wire.Syntax, "does not start with the word ply")
	}
	loneCR := bytes.HasPrefix(p.Rest(), []byte("\r")) && !bytes.HasPrefix(p.Rest(), []byte("\r\n"))
	for {
		p.SkipLine()
		if len(p.Rest()) == 0 {
			return nil, p.fail(wire.Truncated, "")
		}
		done, err := p.headerLine()
		if err != nil {
			return nil, err
		}
		if done {
			break
		}
	}
	if !p.format {
		return nil, p.fail(wire.Syntax, "the header has no format line")
	}
	h.lines = p.Line()
	if loneCR && bytes.HasPrefix(p.Rest(), []byte("\r")) {
		h.body = p.Rest()[1:] // a line feed after it is data
		return h, nil
	}
	p.SkipLine()
	h.body = p.Rest()
	return h, nil
}

// headerParser reads the lines of a header.
type headerParser struct {
	*wire.Text
	h      *header
	format bool // the format line has been read
}

// fail returns an error at the current line. Where the data ends, what looks
// wrong is but the first part of what was right.
func (p *headerParser) fail(k wire.Kind, detail string) error {
	hint := wire.HintExport
	if len(p.Rest()) == 0 {
		k, detail, hint = wire.Truncated, "the file ends within the header", wire.HintCopy
	}
	return &wire.Error{Format: "PLY", Kind: k, Unit: "line", Index: p.Line(), Detail: detail, Hint: hint}
}

// headerLine reads one line. done says that it was the last.
func (p *headerParser) headerLine() (done bool, err error) {
	switch word := p.WordOnLine(); string(word) {
	case "", "comment", "obj_info":
		return false, nil
	case "format":
		return false, p.formatLine()
	case "element":
		return false, p.elementLine()
	case "property":
		return false, p.propertyLine()
	case "end_header":
		return true, nil
	default:
		return false, p.fail(wire.Syntax, wire.Quote(word)+" is no word of a PLY header")
	}
}

// formatLine reads the encoding.
func (p *headerParser) formatLine() error {
	word := p.WordOnLine()
	switch string(word) {
	case "ascii":
		p.h.encoding = wire.ASCII
	case "binary_little_endian":
		p.h.encoding = wire.BinaryLittle
	case "binary_big_endian":
		p.h.encoding = wire.BinaryBig
	default:
		return p.fail(wire.Syntax, wire.Quote(word)+" is no encoding of PLY")
	}
	p.format = true
	return nil
}

// maxElements and maxProperties bound the header; a file has a handful of either.
const (
	maxElements   = 1000
	maxProperties = 1000
)

// elementLine reads the name and the number of rows of an element.
func (p *headerParser) elementLine() error {
	name, count := p.WordOnLine(), p.WordOnLine()
	rows, ok := wire.ParseInt(count)
	switch {
	case !ok || rows < 0:
		return p.fail(wire.Syntax, fmt.Sprintf("%s is no count of rows", wire.Quote(count)))
	case p.h.element(string(name)) >= 0:
		return p.fail(wire.Syntax, "element "+wire.Quote(name)+" occurs twice")
	case len(p.h.elements) == maxElements:
		return p.fail(wire.Unsupported, fmt.Sprintf("more than %d elements", maxElements))
	}
	p.h.elements = append(p.h.elements, element{name: string(name), rows: rows, fixed: true})
	return nil
}

// propertyLine reads a property of the last element.
func (p *headerParser) propertyLine() error {
	if len(p.h.elements) == 0 {
		return p.fail(wire.Syntax, "a property stands before the first element")
	}
	e := &p.h.elements[len(p.h.elements)-1]
	if len(e.props) == maxProperties {
		return p.fail(wire.Unsupported, fmt.Sprintf("more than %d properties", maxProperties))
	}
	var prop property
	word := p.WordOnLine()
	if string(word) == "list" {
		prop.list, e.fixed = true, false
		count := p.WordOnLine()
		var ok bool
		if prop.count, ok = numberOf(count); !ok || prop.count.float {
			return p.fail(wire.Syntax, wire.Quote(count)+" is no type for the length of a list")
		}
		word = p.WordOnLine()
	}
	var ok bool
	if prop.typ, ok = numberOf(word); !ok {
		return p.fail(wire.Syntax, wire.Quote(word)+" is no type of number")
	}
	name := p.WordOnLine()
	if len(name) == 0 {
		return p.fail(wire.Syntax, "a property has no name")
	}
	prop.name = string(name)
	e.props = append(e.props, prop)
	return nil
}
