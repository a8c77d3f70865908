package casefile_test

import (
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/tooth"
)

// contract is the example of the contract, word for word.
func contract(t testing.TB) []byte {
	t.Helper()
	data, err := os.ReadFile("testdata/case.json")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestParseContractExample(t *testing.T) {
	c, err := casefile.Parse(contract(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Unknown) != 0 || len(c.Assumed) != 0 {
		t.Errorf("unknown %v, assumed %v, want neither", c.Unknown, c.Assumed)
	}
	r := c.Restorations[0]
	if r.Tooth.Number() != 26 || r.Kind != casefile.Crown || r.Material != limit.LithiumDisilicate ||
		r.Cement != limit.Adhesive || r.FinishLine != limit.HeavyChamfer || r.MadeBy != casefile.ByLaboratory ||
		r.Contacts != (casefile.Contacts{Mesial: "firm", Distal: "firm"}) || r.IfSpaceShort != casefile.Call {
		t.Errorf("restoration = %+v", r)
	}
	if r.Occlusion.Bruxism == nil || *r.Occlusion.Bruxism {
		t.Errorf("bruxism = %v, want false", r.Occlusion.Bruxism)
	}
	if c.Dates != (casefile.Dates{Prepared: "2026-05-04", Due: "2026-05-15", Seat: "2026-05-19"}) || c.Patient.Reference != "P-1007" || c.Units != casefile.Millimetre {
		t.Errorf("case = %+v", c)
	}
	roles := []finding.Role{"preparation", "working", "opposing", "bite", "before", "design"}
	for i, s := range c.Scans {
		if s.Role != roles[i] {
			t.Errorf("scan %d has the role %q, want %q", i, s.Role, roles[i])
		}
	}
	if n, ok := c.ScanTooth(0); !ok || n != 26 {
		t.Errorf("preparation scan shows %v, want 26", n)
	}
	if n, ok := c.ScanTooth(1); ok {
		t.Errorf("working scan shows %v, want none", n)
	}
}

func TestParseRoundTrip(t *testing.T) {
	for _, text := range []string{
		string(contract(t)),
		`{"tooth": "UL6", "restoration": "crown", "scans": [{"file": "a.stl"}]}`,
		`{"restorations": [{"kind": "bridge", "abutments": [{"system":"universal","code":"3"}, {"system":"universal","code":"5"}]}], "scans": [{"role": "preparation", "file": "p.stl", "tooth": {"system": "fdi", "code": "16"}}]}`,
	} {
		first, err := casefile.Parse([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		data, err := first.Encode()
		if err != nil {
			t.Fatal(err)
		}
		again, err := casefile.Parse(data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		again.Assumed, first.Assumed = nil, nil
		if !reflect.DeepEqual(first, again) {
			t.Errorf("read back\n%+v, want\n%+v", again, first)
		}
	}
}

func TestShortForm(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       tooth.Number
		kind       casefile.Kind
		assumed    int
	}{
		{"kind as text", `{"tooth":{"system":"universal","code":"14"},"restoration":"crown","scans":[{"file":"a.stl"}]}`, 26, casefile.Crown, 0},
		{"restoration as object", `{"tooth":{"system":"palmer","code":"ul6"},"restoration":{"kind":"veneer","material":"leucite"},"scans":[{"file":"a.stl"}]}`, 26, casefile.Veneer, 0},
		{"bare FDI", `{"tooth":"26","scans":[{"file":"a.stl"}]}`, 26, "", 1},
		{"bare Palmer", `{"tooth":"LR6","scans":[{"file":"a.stl"}]}`, 46, "", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := casefile.Parse([]byte(c.text))
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Restorations) != 1 || got.Restorations[0].Tooth.Number() != c.want || got.Restorations[0].Kind != c.kind {
				t.Errorf("restorations = %+v, want one %v of tooth %v", got.Restorations, c.kind, c.want)
			}
			if len(got.Assumed) != c.assumed {
				t.Errorf("assumed %q, want %d", got.Assumed, c.assumed)
			}
		})
	}
}

// A bare tooth code of a scan is read in the system of the prescription, where 14
// is the upper left first molar and not the upper right premolar.
func TestScanToothFollowsTheSystemOfTheCase(t *testing.T) {
	c, err := casefile.Parse([]byte(`{"restorations":[{"tooth":{"system":"universal","code":"14"}}],
		"scans":[{"role":"preparation","file":"p.stl","tooth":"14"},{"role":"design","file":"d.stl","tooth":{"system":"fdi","code":"26"}}]}`))
	if err != nil {
		t.Fatal(err)
	}
	for i := range c.Scans {
		if n, ok := c.ScanTooth(i); !ok || n != 26 {
			t.Errorf("scan %d shows %v, want 26", i, n)
		}
	}
}

func TestUnknownFieldsAreListed(t *testing.T) {
	c, err := casefile.Parse([]byte(`{"restorations":[{"tooth":{"system":"fdi","code":"26","x":1},"colour":"A2","shade":{"glaze":true}}],
		"scans":[{"file":"a.stl","made":"today"}],"dates":{"paid":"never"},"version":3}`))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"restorations[0].shade.glaze", "restorations[0].tooth.x", "restorations[0].colour", "scans[0].made", "dates.paid", "version"}
	if !reflect.DeepEqual(c.Unknown, want) {
		t.Errorf("unknown fields %q, want %q", c.Unknown, want)
	}
}

const ok = `"scans":[{"file":"a.stl"}]`

func TestParseRefuses(t *testing.T) {
	tooth := `"tooth":{"system":"fdi","code":"26"}`
	for _, c := range []struct{ text, want string }{
		{``, "line 1"},
		{`[]`, "must be an object"},
		{`{`, "ends too early"},
		{"{\n\"case\": \"a\",,\n}", "line 2"},
		{`{} {}`, "after the end"},
		{`{"case":"a","case":"b"}`, `"case" is given twice`},
		{strings.Repeat(`{"a":`, 50) + `1` + strings.Repeat(`}`, 50), "nested too deeply"},
		{`{}`, "restorations: is missing"},
		{`{` + tooth + `}`, "scans: is missing"},
		{`{` + tooth + `,"scans":[]}`, "scans: is missing"},
		{`{` + tooth + `,"restorations":[{` + tooth + `}],` + ok + `}`, "not both"},
		{`{"restorations":[{}],` + ok + `}`, "restorations[0].tooth: is missing"},
		{`{"restorations":{},` + ok + `}`, "restorations: must be a list"},
		{`{"restorations":[5],` + ok + `}`, "restorations[0]: must be an object in braces, not the number 5"},
		{`{"restorations":[{` + tooth + `},{` + tooth + `}],` + ok + `}`, "restorations[1].tooth: tooth 26 is listed twice"},
		{`{"restorations":[{"tooth":{"system":"fdi","code":"19"}}],` + ok + `}`, "restorations[0].tooth.code: there is no tooth 19"},
		{`{"restorations":[{"tooth":{"system":"fdi","code":"54"}}],` + ok + `}`, "deciduous"},
		{`{"restorations":[{"tooth":{"code":"26"}}],` + ok + `}`, "restorations[0].tooth.system: is missing"},
		{`{"restorations":[{"tooth":{"system":"FDI","code":"26"}}],` + ok + `}`, `write "fdi"`},
		{`{"restorations":[{"tooth":{"system":"fdi","code":26}}],` + ok + `}`, "restorations[0].tooth.code: must be text in quotes, not the number 26"},
		{`{"tooth":26,` + ok + `}`, "tooth: must be an object in braces, not the number 26"},
		{`{` + tooth + `,"restoration":"implant crown",` + ok + `}`, "restoration: an implant crown is not covered"},
		{`{"restorations":[{` + tooth + `,"kind":"implant-crown"}],` + ok + `}`, "restorations[0].kind: an implant crown is not covered"},
		{`{"restorations":[{` + tooth + `,"kind":"bridge"}],` + ok + `}`, "restorations[0].abutments: is missing"},
		{`{"restorations":[{` + tooth + `,"material":"Lithium Disilicate"}],` + ok + `}`, `write "lithium-disilicate"`},
		{`{"restorations":[{` + tooth + `,"material":"gold"}],` + ok + `}`, `use one of zirconia-3y`},
		{`{"restorations":[{` + tooth + `,"finish_line":"mixed"}],` + ok + `}`, `"mixed" is not known`},
		{`{"restorations":[{` + tooth + `,"occlusion":{"bruxism":"no"}}],` + ok + `}`, "bruxism: must be true or false"},
		{`{` + tooth + `,"units":"feet",` + ok + `}`, "units"},
		{`{` + tooth + `,"dates":{"due":20260515},` + ok + `}`, "dates.due: must be text"},
		{`{` + tooth + `,"scans":[{"role":"working"}]}`, "scans[0].file: is missing"},
		{`{` + tooth + `,"scans":[{"role":"upper","file":"a.stl"}]}`, "scans[0].role"},
		{`{` + tooth + `,"scans":[{"file":"a.stl"},{"file":"a.stl"}]}`, "scans[1].file: \"a.stl\" is listed twice"},
		{`{` + tooth + `,"scans":[{"role":"working","file":"a.stl"},{"role":"working","file":"b.stl"}]}`, "already a scan"},
		{`{` + tooth + `,"scans":[{"file":"../a.stl"}]}`, "inside the case folder"},
		{`{` + tooth + `,"scans":[{"file":"/a.stl"}]}`, "inside the case folder"},
		{`{` + tooth + `,"scans":[{"file":"x/../../a.stl"}]}`, "inside the case folder"},
		{`{` + tooth + `,"scans":[{"file":"C:\\a.stl"}]}`, "inside the case folder"},
		{`{` + tooth + `,"scans":[{"file":"a.stl","tooth":"99"}]}`, "scans[0].tooth"},
		{`{` + tooth + `,"case":7,"units":"feet",` + ok + `}`, "(and 1 more)"},
	} {
		got, err := casefile.Parse([]byte(c.text))
		if err == nil {
			t.Errorf("Parse(%s) = %+v, want an error with %q", c.text, got, c.want)
			continue
		}
		if !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("Parse(%s): %q, want one line with %q", c.text, err, c.want)
		}
	}
}

func TestParseErrorNamesEveryField(t *testing.T) {
	_, err := casefile.Parse([]byte(`{"tooth":{"system":"fdi","code":"26"},"case":7,"units":"feet",` + ok + `}`))
	var p *casefile.ParseError
	var f *casefile.FieldError
	if !errors.As(err, &p) || len(p.Fields) != 2 || !errors.As(err, &f) || f.Field != "case" {
		t.Errorf("error %#v does not name case and units", err)
	}
}

func TestParseToleratesMarkAndNull(t *testing.T) {
	c, err := casefile.Parse([]byte("\xef\xbb\xbf" + `{"case":null,"tooth":{"system":"fdi","code":" 26 "},"dates":null,` + ok + `}`))
	if err != nil || c.Restorations[0].Tooth.Number() != 26 {
		t.Errorf("Parse = %+v, %v", c, err)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(contract(f))
	f.Add([]byte(`{"tooth":"26","restoration":"crown",` + ok + `}`))
	f.Add([]byte(`{"restorations":[{"tooth":{"system":"palmer","code":"UR9"}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := casefile.Parse(data)
		if err != nil {
			return
		}
		out, err := c.Encode()
		if err != nil {
			t.Fatalf("Encode: %v", err)
		}
		if _, err := casefile.Parse(out); err != nil {
			t.Fatalf("what was written does not read back: %v\n%s", err, out)
		}
		for _, r := range c.Restorations {
			if !r.Tooth.Number().Valid() {
				t.Fatalf("an invalid tooth came through: %+v", r.Tooth)
			}
		}
	})
}
