package casefile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// node is one value of a JSON text, with its fields in the order of the text. It
// keeps what decoding into a struct loses: unknown fields, and fields given twice.
type node struct {
	kind   string // object, list, text, number, truth or nothing
	names  []string
	fields []node // values of names, or items of a list
	text   string
	truth  bool
}

// field returns the value of a name; ok is false if it is absent or null.
func (n node) field(name string) (node, bool) {
	for i, f := range n.names {
		if f == name && n.fields[i].kind != "nothing" {
			return n.fields[i], true
		}
	}
	return node{}, false
}

// maxDepth bounds nesting: case.json needs four levels.
const maxDepth = 32

// parseTree reads one JSON value and nothing after it.
func parseTree(data []byte) (node, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // some editors write a mark first
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	n, err := readNode(d, 0)
	if err == nil {
		if _, e := d.Token(); e != io.EOF {
			err = errors.New("there is something after the end of the text")
		}
	}
	if err != nil {
		return node{}, located(err, data, d.InputOffset())
	}
	return n, nil
}

func readNode(d *json.Decoder, depth int) (node, error) {
	if depth > maxDepth {
		return node{}, errors.New("it is nested too deeply")
	}
	t, err := d.Token()
	if err != nil {
		return node{}, err
	}
	switch t := t.(type) {
	case json.Delim:
		if t == '{' {
			return readObject(d, depth)
		}
		return readList(d, depth)
	case string:
		return node{kind: "text", text: t}, nil
	case json.Number:
		return node{kind: "number", text: t.String()}, nil
	case bool:
		return node{kind: "truth", truth: t}, nil
	default:
		return node{kind: "nothing"}, nil
	}
}

func readObject(d *json.Decoder, depth int) (node, error) {
	n := node{kind: "object"}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return n, err
		}
		name := t.(string) // the decoder allows nothing else here
		for _, other := range n.names {
			if other == name {
				return n, fmt.Errorf("%q is given twice", name)
			}
		}
		v, err := readNode(d, depth+1)
		if err != nil {
			return n, err
		}
		n.names, n.fields = append(n.names, name), append(n.fields, v)
	}
	_, err := d.Token()
	return n, err
}

func readList(d *json.Decoder, depth int) (node, error) {
	n := node{kind: "list"}
	for d.More() {
		v, err := readNode(d, depth+1)
		if err != nil {
			return n, err
		}
		n.fields = append(n.fields, v)
	}
	_, err := d.Token()
	return n, err
}

// located adds the line on which an error lies.
func located(err error, data []byte, offset int64) error {
	var s *json.SyntaxError
	if errors.As(err, &s) {
		offset = s.Offset
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errors.New("it ends too early; a bracket is not closed")
		offset = int64(len(data))
	}
	offset = min(max(offset, 0), int64(len(data)))
	line := 1 + bytes.Count(data[:offset], []byte("\n"))
	return fmt.Errorf("line %d: %s", line, strings.TrimPrefix(err.Error(), "json: "))
}
