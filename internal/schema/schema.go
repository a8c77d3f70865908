// Package schema writes JSON Schema (draft 2020-12) for Go types, so that what is
// published about a file is what the program reads and writes.
//
// [Of] walks a type as encoding/json does: exported fields, names from json tags,
// embedded structs flattened, omitempty and omitzero optional, all others required.
// The tag doc:"…" of a field becomes its description. A type that encodes itself
// says what it looks like with [Schemer]; a string type with a closed vocabulary
// lists it through [Words]. The output is deterministic.
package schema

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
)

// Dialect is the JSON Schema dialect that the schemas are written in.
const Dialect = "https://json-schema.org/draft/2020-12/schema"

// Schema is the part of JSON Schema that is used here. Its fields are in the order
// in which they are written.
type Schema struct {
	Dialect              string     `json:"$schema,omitempty"`
	ID                   string     `json:"$id,omitempty"`
	Ref                  string     `json:"$ref,omitempty"`
	Title                string     `json:"title,omitempty"`
	Description          string     `json:"description,omitempty"`
	Type                 string     `json:"type,omitempty"`
	Const                any        `json:"const,omitempty"`
	Enum                 []string   `json:"enum,omitempty"`
	Pattern              string     `json:"pattern,omitempty"`
	Minimum              *float64   `json:"minimum,omitempty"`
	Maximum              *float64   `json:"maximum,omitempty"`
	Items                *Schema    `json:"items,omitempty"`
	MinItems             *int       `json:"minItems,omitempty"`
	MaxItems             *int       `json:"maxItems,omitempty"`
	Properties           Properties `json:"properties,omitempty"`
	Required             []string   `json:"required,omitempty"`
	AdditionalProperties *Schema    `json:"additionalProperties,omitempty"`
	AnyOf                []*Schema  `json:"anyOf,omitempty"`
	OneOf                []*Schema  `json:"oneOf,omitempty"`
	Not                  *Schema    `json:"not,omitempty"`
	Defs                 Properties `json:"$defs,omitempty"`
}

// Property is one named schema.
type Property struct {
	Name   string
	Schema *Schema
}

// Properties are named schemas in the order of the type, which JSON keeps when a
// person reads it and a map would lose.
type Properties []Property

// MarshalJSON writes the properties as an object in their order.
func (p Properties) MarshalJSON() ([]byte, error) {
	var b strings.Builder
	b.WriteByte('{')
	for i, q := range p {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(q.Name)
		if err != nil {
			return nil, err
		}
		body, err := json.Marshal(q.Schema)
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(body)
	}
	b.WriteByte('}')
	return []byte(b.String()), nil
}

// Find returns the schema of a name; nil if there is none.
func (p Properties) Find(name string) *Schema {
	for _, q := range p {
		if q.Name == name {
			return q.Schema
		}
	}
	return nil
}

// Schemer is a type that says itself what it looks like in JSON.
type Schemer interface {
	// JSONSchema returns the schema; g makes schemas of the types it is built from.
	JSONSchema(g *Generator) *Schema
}

// Generator turns types into schemas. The zero Generator has no vocabularies.
type Generator struct {
	words map[reflect.Type][]string
	names map[reflect.Type]string // of types that stand in $defs
	defs  Properties
	err   error
}

// Words gives a string type a closed vocabulary. Order is kept.
func Words[T ~string](g *Generator, words []T) {
	if g.words == nil {
		g.words = map[reflect.Type][]string{}
	}
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	g.words[reflect.TypeFor[T]()] = out
}

// Of returns the schema of v's type as a whole document with the given id, title
// and description. A type that JSON cannot hold, such as a channel, is an error.
func (g *Generator) Of(v any, id, title, description string) (*Schema, error) {
	s := g.Type(reflect.TypeOf(v))
	out := &Schema{Dialect: Dialect, ID: id, Title: title, Description: description}
	if s.Ref != "" {
		out.Ref = s.Ref
	} else {
		s.Dialect, s.ID, s.Title, s.Description = out.Dialect, id, title, description
		out = s
	}
	out.Defs = g.defs
	return out, g.err
}

// Encode writes a schema, indented, with a line end.
func Encode(s *Schema) ([]byte, error) {
	data, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	return indent(data)
}

// fail keeps the first error.
func (g *Generator) fail(format string, args ...any) {
	if g.err == nil {
		g.err = fmt.Errorf("schema: "+format, args...)
	}
}
