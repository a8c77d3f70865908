package schema_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"selvage/internal/schema"
)

type colour string

type point struct {
	X float64 `json:"x" doc:"Along."`
	Y float64 `json:"y"`
}

type choice struct{ on bool }

func (choice) JSONSchema(*schema.Generator) *schema.Schema {
	return &schema.Schema{Type: "string", Enum: []string{"on", "off"}}
}

func (c choice) MarshalJSON() ([]byte, error) {
	if c.on {
		return []byte(`"on"`), nil
	}
	return []byte(`"off"`), nil
}

type base struct {
	ID int `json:"id"`
}

type thing struct {
	base
	Name   string             `json:"name"`
	Colour colour             `json:"colour,omitempty" doc:"By name & number <1."`
	Where  point              `json:"where"`
	Path   []point            `json:"path"`
	Axis   [3]float64         `json:"axis"`
	Maybe  *float64           `json:"maybe,omitempty"`
	Count  uint8              `json:"count"`
	Switch choice             `json:"switch"`
	More   map[string]float64 `json:"more,omitempty"`
	Any    any                `json:"any,omitempty"`
	Plain  bool
	Hidden string `json:"-"`
}

func compile(t testing.TB, s *schema.Schema) *jsonschema.Schema {
	t.Helper()
	data, err := schema.Encode(s)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("s.json", doc); err != nil {
		t.Fatal(err)
	}
	out, err := c.Compile("s.json")
	if err != nil {
		t.Fatalf("%v\n%s", err, data)
	}
	return out
}

func thingSchema(t testing.TB) *schema.Schema {
	t.Helper()
	g := &schema.Generator{}
	schema.Words(g, []colour{"red", "blue"})
	s, err := g.Of(thing{}, "urn:test", "Thing", "A thing.")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Whatever the encoder writes for a type matches the type's schema, by the word of
// an independent validator.
func TestEncodedValuesMatch(t *testing.T) {
	s := compile(t, thingSchema(t))
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-1e6, 1e6)
		v := thing{
			base: base{ID: rapid.Int().Draw(t, "id")}, Name: rapid.String().Draw(t, "name"),
			Colour: rapid.SampledFrom([]colour{"", "red", "blue"}).Draw(t, "colour"),
			Where:  point{number.Draw(t, "x"), number.Draw(t, "y")}, Path: make([]point, rapid.IntRange(0, 3).Draw(t, "n")),
			Count: rapid.Uint8().Draw(t, "count"), Switch: choice{rapid.Bool().Draw(t, "on")}, Plain: rapid.Bool().Draw(t, "plain"),
		}
		if rapid.Bool().Draw(t, "has") {
			x := number.Draw(t, "maybe")
			v.Maybe, v.More, v.Any = &x, map[string]float64{"a": x}, []int{1}
		}
		data, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(doc); err != nil {
			t.Fatalf("%s: %v", data, err)
		}
	})
}

func TestDamagedValuesDoNotMatch(t *testing.T) {
	s := compile(t, thingSchema(t))
	good := `{"id":1,"name":"a","colour":"red","where":{"x":1,"y":2},"path":[{"x":1,"y":2}],"axis":[0,0,1],"count":3,"switch":"on","Plain":true,"more":{"a":1}}`
	check := func(text string) error {
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return s.Validate(doc)
	}
	if err := check(good); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new string }{
		{`"id":1,`, ``},
		{`"red"`, `"green"`},
		{`"x":1,`, ``},
		{`[0,0,1]`, `[0,0]`},
		{`[0,0,1]`, `[0,0,1,1]`},
		{`"count":3`, `"count":-3`},
		{`"count":3`, `"count":3.5`},
		{`"on"`, `"maybe"`},
		{`"Plain":true`, `"Plain":"yes"`},
		{`{"a":1}`, `{"a":"1"}`},
		{`"name":"a"`, `"name":1`},
		{`[{"x":1,"y":2}]`, `{"x":1,"y":2}`},
	} {
		if check(strings.Replace(good, c.old, c.new, 1)) == nil {
			t.Errorf("%s for %s matches", c.new, c.old)
		}
	}
	if err := check(strings.Replace(good, `"id":1`, `"id":1,"new":true`, 1)); err != nil {
		t.Errorf("a field that a later version adds does not match: %v", err)
	}
}

func TestSchemaReadsWell(t *testing.T) {
	data, err := schema.Encode(thingSchema(t))
	if err != nil {
		t.Fatal(err)
	}
	again, _ := schema.Encode(thingSchema(t))
	if !bytes.Equal(data, again) {
		t.Error("two runs differ")
	}
	text := string(data)
	for _, want := range []string{`"$schema": "https://json-schema.org/draft/2020-12/schema"`, `"By name & number <1."`, `"description": "Along."`, `"#/$defs/point"`} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "Hidden") {
		t.Errorf("hidden fields are in\n%s", text)
	}
	if i, k := strings.Index(text, `"name"`), strings.Index(text, `"axis"`); i > k {
		t.Error("fields are not in the order of the type")
	}
}

type tree struct {
	Value    int     `json:"value"`
	Children []*tree `json:"children,omitempty"`
}

func TestRecursiveType(t *testing.T) {
	g := &schema.Generator{}
	s, err := g.Of(tree{}, "", "", "")
	if err != nil {
		t.Fatal(err)
	}
	c := compile(t, s)
	good, _ := jsonschema.UnmarshalJSON(strings.NewReader(`{"value":1,"children":[{"value":2,"children":[{"value":3}]}]}`))
	bad, _ := jsonschema.UnmarshalJSON(strings.NewReader(`{"value":1,"children":[{"value":2,"children":[{"value":"x"}]}]}`))
	if err := c.Validate(good); err != nil {
		t.Error(err)
	}
	if c.Validate(bad) == nil {
		t.Error("a wrong grandchild matches")
	}
}

func TestTypesWithoutAForm(t *testing.T) {
	for _, v := range []any{struct{ C chan int }{}, struct{ M map[int]string }{}, struct{ F func() }{}} {
		g := &schema.Generator{}
		if _, err := g.Of(v, "", "", ""); err == nil {
			t.Errorf("%v has a schema", reflect.TypeOf(v))
		}
	}
}

func TestPlainValues(t *testing.T) {
	g := &schema.Generator{}
	s, err := g.Of([]colour{}, "urn:list", "List", "")
	if err != nil || s.Type != "array" || s.Items.Type != "string" || s.Title != "List" {
		t.Errorf("%+v, %v", s, err)
	}
	if s.Defs.Find("nothing") != nil {
		t.Error("found a definition that is not there")
	}
}

func ExampleGenerator_Of() {
	type spot struct {
		At   [2]float64 `json:"at_mm" doc:"Where."`
		Side colour     `json:"side,omitempty"`
	}
	g := &schema.Generator{}
	schema.Words(g, []colour{"red", "blue"})
	s, _ := g.Of(spot{}, "urn:example:spot", "Spot", "")
	fmt.Println(s.Defs.Find("spot").Required, s.Defs.Find("spot").Properties.Find("side").Enum)
	// Output: [at_mm] [red blue]
}
