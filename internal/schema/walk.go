package schema

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
)

// schemer is the interface type, to ask types whether they have it.
var schemer = reflect.TypeFor[Schemer]()

// Type returns the schema of one type. Structs with a name become definitions that
// are referred to, so that a type used twice is written once.
func (g *Generator) Type(t reflect.Type) *Schema {
	if t.Kind() == reflect.Pointer {
		return g.Type(t.Elem())
	}
	if t.Implements(schemer) {
		return g.named(t, func() *Schema { return reflect.Zero(t).Interface().(Schemer).JSONSchema(g) })
	}
	if words, ok := g.words[t]; ok {
		return &Schema{Type: "string", Enum: words}
	}
	switch t.Kind() {
	case reflect.Bool:
		return &Schema{Type: "boolean"}
	case reflect.String:
		return &Schema{Type: "string"}
	case reflect.Float32, reflect.Float64:
		return &Schema{Type: "number"}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return &Schema{Type: "integer"}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		zero := 0.0
		return &Schema{Type: "integer", Minimum: &zero}
	case reflect.Slice:
		return &Schema{Type: "array", Items: g.Type(t.Elem())}
	case reflect.Array:
		n := t.Len()
		return &Schema{Type: "array", Items: g.Type(t.Elem()), MinItems: &n, MaxItems: &n}
	case reflect.Map:
		if t.Key().Kind() != reflect.String {
			g.fail("%v: the keys of an object are strings", t)
		}
		return &Schema{Type: "object", AdditionalProperties: g.Type(t.Elem())}
	case reflect.Struct:
		return g.named(t, func() *Schema { return g.Object(t) })
	case reflect.Interface:
		return &Schema{}
	default:
		g.fail("%v has no form in JSON", t)
		return &Schema{}
	}
}

// named files the schema of a named type under $defs and returns a reference.
func (g *Generator) named(t reflect.Type, make func() *Schema) *Schema {
	name := t.Name()
	if name == "" {
		return make()
	}
	if g.names == nil {
		g.names = map[reflect.Type]string{}
	}
	if known, ok := g.names[t]; ok {
		return &Schema{Ref: "#/$defs/" + known}
	}
	for g.defs.Find(name) != nil {
		name += "_" // two packages may each have a type of this name
	}
	g.names[t] = name
	at := len(g.defs)
	g.defs = append(g.defs, Property{Name: name}) // its place, before those it refers to
	g.defs[at].Schema = &Schema{}
	body := make()
	g.defs[at].Schema = body
	return &Schema{Ref: "#/$defs/" + name}
}

// Object returns the schema of a struct as an object, not filed under its name.
// Fields may be added to a document later, so unknown ones are allowed.
func (g *Generator) Object(t reflect.Type) *Schema {
	s := &Schema{Type: "object"}
	g.fields(t, s)
	return s
}

func (g *Generator) fields(t reflect.Type, s *Schema) {
	for i := range t.NumField() {
		f := t.Field(i)
		tag := f.Tag.Get("json")
		name, options, _ := strings.Cut(tag, ",")
		switch {
		case tag == "-" || !f.IsExported() && !f.Anonymous:
			continue
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			g.fields(f.Type, s)
			continue
		case !f.IsExported():
			continue
		case name == "":
			name = f.Name
		}
		p := g.Type(f.Type)
		if doc := f.Tag.Get("doc"); doc != "" {
			p = describe(p, doc)
		}
		s.Properties = append(s.Properties, Property{Name: name, Schema: p})
		optional := strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero")
		if !optional {
			s.Required = append(s.Required, name)
		}
	}
}

// describe returns a copy of s with a description; a reference keeps it beside it,
// which this draft allows.
func describe(s *Schema, doc string) *Schema {
	c := *s
	c.Description = doc
	return &c
}

func indent(data []byte) ([]byte, error) {
	var b bytes.Buffer
	if err := json.Indent(&b, data, "", "  "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	// The encoder escapes three signs for HTML; a reader wants to see them.
	out := b.Bytes()
	for _, e := range [3][2]string{{`\u003c`, "<"}, {`\u003e`, ">"}, {`\u0026`, "&"}} {
		out = bytes.ReplaceAll(out, []byte(e[0]), []byte(e[1]))
	}
	return out, nil
}
