package casefile_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"selvage/internal/casefile"
)

var update = flag.Bool("update", false, "write the published schemas")

var published = []struct {
	file string
	make func() ([]byte, error)
}{
	{"../../doc/formats/case.schema.json", casefile.SchemaOfCase},
	{"../../doc/formats/report.schema.json", casefile.SchemaOfReport},
}

func TestPublishedSchemasAreThoseOfTheTypes(t *testing.T) {
	for _, p := range published {
		want, err := p.make()
		if err != nil {
			t.Fatal(err)
		}
		if *update {
			if err := os.WriteFile(p.file, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(p.file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the types say; run go test ./internal/casefile -update", p.file)
		}
	}
}

// compiled returns a schema compiled by an independent library.
func compiled(t *testing.T, make func() ([]byte, error)) *jsonschema.Schema {
	t.Helper()
	data, err := make()
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
	s, err := c.Compile("s.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

func TestCaseSchema(t *testing.T) {
	s := compiled(t, casefile.SchemaOfCase)
	tooth := `"tooth":{"system":"fdi","code":"26"}`
	for _, good := range []string{
		string(contract(t)),
		`{` + tooth + `,"restoration":"crown",` + ok + `}`,
		`{"tooth":"UL6","restoration":{"kind":"onlay"},` + ok + `}`,
		`{"restorations":[{"kind":"bridge","abutments":["14","16"]}],` + ok + `}`,
		`{"restorations":[{` + tooth + `,"colour":"A2"}],` + ok + `,"more":1}`,
	} {
		if err := validate(t, s, []byte(good)); err != nil {
			t.Errorf("%s\ndoes not match the schema: %v", good, err)
		}
		if _, err := casefile.Parse([]byte(good)); err != nil {
			t.Errorf("%s\nmatches the schema but is not read: %v", good, err)
		}
	}
	for _, bad := range []string{
		`[]`, `{}`,
		`{` + tooth + `}`,
		`{` + tooth + `,"scans":[]}`,
		`{` + tooth + `,"restorations":[{` + tooth + `}],` + ok + `}`,
		`{"restorations":[],` + ok + `}`,
		`{"restorations":[{}],` + ok + `}`,
		`{"restorations":[{` + tooth + `,"kind":"implant-crown"}],` + ok + `}`,
		`{"restorations":[{` + tooth + `,"material":"gold"}],` + ok + `}`,
		`{"restorations":[{"tooth":{"system":"fdi","code":26}}],` + ok + `}`,
		`{"restorations":[{"tooth":{"code":"26"}}],` + ok + `}`,
		`{` + tooth + `,"scans":[{"role":"working"}]}`,
		`{` + tooth + `,"units":"feet",` + ok + `}`,
	} {
		if validate(t, s, []byte(bad)) == nil {
			t.Errorf("%s matches the schema", bad)
		}
		if _, err := casefile.Parse([]byte(bad)); err == nil {
			t.Errorf("%s is read", bad)
		}
	}
}

func TestReportSchema(t *testing.T) {
	s := compiled(t, casefile.SchemaOfReport)
	data, err := sample().Encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(t, s, data); err != nil {
		t.Fatalf("a report does not match its schema: %v\n%s", err, data)
	}
	// A measure with both, with neither, and other damage must not match.
	for _, c := range []struct{ name, old, new string }{
		{"both", `"value": 3.8,`, `"value": 3.8, "not_measured": "x",`},
		{"neither", `"not_measured": "no scan from before the preparation"`, `"u": 1`},
		{"unknown verdict", `"verdict": "scan-again"`, `"verdict": "passed"`},
		{"unknown code", `"code": "margin-unclear"`, `"code": "margin-bad"`},
		{"other form", `"schema": "selvage.report/1"`, `"schema": "selvage.report/2"`},
		{"short vector", "0.998\n", "0.998, 1\n"},
	} {
		broken := bytes.Replace(data, []byte(c.old), []byte(c.new), 1)
		if bytes.Equal(broken, data) {
			t.Fatalf("%s: the report does not hold %q", c.name, c.old)
		}
		if validate(t, s, broken) == nil {
			t.Errorf("%s: the damaged report matches the schema", c.name)
		}
	}
}

// The example of the contract, abridged as it is, has no measure or finding that
// the types do not hold under the same name.
func TestReportHoldsEveryFieldOfTheContract(t *testing.T) {
	want, err := os.ReadFile("testdata/report.json")
	if err != nil {
		t.Fatal(err)
	}
	got, err := sample().Encode()
	if err != nil {
		t.Fatal(err)
	}
	var w, g any
	if err := json.Unmarshal(want, &w); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(got, &g); err != nil {
		t.Fatal(err)
	}
	covers(t, "report", w, g)
}

// covers reports fields and values of w that g lacks. Texts that the contract cuts
// short with … are not compared.
func covers(t *testing.T, path string, w, g any) {
	t.Helper()
	switch w := w.(type) {
	case map[string]any:
		m, isMap := g.(map[string]any)
		if !isMap {
			t.Errorf("%s is %v, want an object", path, g)
			return
		}
		for name, v := range w { // errors only: order does not matter
			if _, ok := m[name]; !ok {
				t.Errorf("%s.%s is missing", path, name)
				continue
			}
			covers(t, path+"."+name, v, m[name])
		}
	case []any:
		l, isList := g.([]any)
		if !isList || len(l) < len(w) {
			t.Errorf("%s is %v, want a list of %d", path, g, len(w))
			return
		}
		for i := range w {
			covers(t, path, w[i], l[i])
		}
	case string:
		if s, ok := g.(string); !ok || s != w && !bytes.Contains([]byte(w), []byte("…")) {
			t.Errorf("%s = %v, want %q", path, g, w)
		}
	default:
		if g != w {
			t.Errorf("%s = %v, want %v", path, g, w)
		}
	}
}
