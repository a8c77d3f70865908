package limit_test

import (
	"reflect"
	"strings"
	"testing"

	"selvage/limit"
)

const head = "version = \"1.0.0\"\n[[limit]]\n"

func TestOwnCopyOfTheShippedTable(t *testing.T) {
	table, err := limit.Parse(limit.Shipped())
	if err != nil {
		t.Fatal(err)
	}
	def := limit.Default()
	if !reflect.DeepEqual(table, def) || table.Version() != def.Version() || len(table.Edited(def)) != 0 {
		t.Errorf("a plain copy differs: %v", table.Edited(def))
	}
}

func TestEditedRows(t *testing.T) {
	def := limit.Default()
	own, err := limit.Parse([]byte(head + `id = "wall-height"
class = "molar"
unit = "mm"
bad = "below"
flag = 3.5
advise = 4.5
source = "agreed with the laboratory"

[[limit]]
id = "cement-space"
unit = "mm"
bad = "setting"
value = 0.08
source = "agreed with the laboratory"

[[limit]]
id = "material-minimum"
material = "zirconia-3y"
cement = "adhesive"
zone = "functional"
unit = "mm"
bad = "below"
flag = 0.6
advise = 1.0
source = "agreed with the laboratory"
`))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range own.Edited(def) {
		got = append(got, c.String())
	}
	want := []string{
		"wall-height (molar): flag 4 → 3.5, advise none → 4.5, source",
		"cement-space: value 0.05 → 0.08, source",
		"material-minimum (zirconia-3y / adhesive / functional): added, flag 0.6, advise 1",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("edited %q, want %q", got, want)
	}
	if own.Version() == def.Version() || own.Semver() != "1.0.0" {
		t.Errorf("version %s, the default's is %s", own.Version(), def.Version())
	}
	// What the copy left out keeps its default; what it edits is used.
	if r, _ := own.Find(limit.WallHeight, limit.Selector{Class: "premolar"}); r.Flag.V != 3 {
		t.Errorf("premolar height %v, want 3", r.Flag)
	}
	q := limit.Selector{Material: limit.Zirconia3Y, Cement: limit.Adhesive, Zone: limit.Functional}
	if r, _ := own.Clearance(q); r.Flag.V < 0.68-1e-12 || r.Flag.V > 0.68+1e-12 {
		t.Errorf("clearance %v, want 0.6 + 0.08", r.Flag)
	}
	if back := def.Edited(own); len(back) != 3 || back[2].String() != "material-minimum (zirconia-3y / adhesive / functional): removed" {
		t.Errorf("the other way: %v", back)
	}
}

// A comment or the spelling of a number does not change the version; a value does.
func TestVersionFollowsTheContent(t *testing.T) {
	def := limit.Default().Version()
	text := string(limit.Shipped())
	for _, c := range []struct {
		old, new string
		same     bool
	}{
		{"# ---- bite", "# ---- teeth together", true},
		{"flag = 0.10\n", "flag = 0.1\n", true},
		{"advise = 0.05\nflag = 0.15\n", "flag = 0.15\nadvise = 0.05\n", true},
		{"flag = 0.45\n", "flag = 0.46\n", false},
		{"source = \"3D-3D", "source = \"4D-4D", false},
	} {
		changed := strings.Replace(text, c.old, c.new, 1)
		if changed == text {
			t.Fatalf("the table does not hold %q", c.old)
		}
		table, err := limit.Parse([]byte(changed))
		if err != nil {
			t.Fatal(err)
		}
		if (table.Version() == def) != c.same {
			t.Errorf("%q for %q: version %s, was %s", c.new, c.old, table.Version(), def)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	row := func(lines ...string) string { return head + strings.Join(lines, "\n") + "\n" }
	for _, c := range []struct{ text, want string }{
		{"", "no version"},
		{"version = 1", "line 1"},
		{"version = \"1\"\nlimits = 3\n", `line 2: unknown key "limits"`},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flg = 3`, `source = "x"`), `line 6: unknown key "limit.flg"`},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = "3"`, `source = "x"`), "line 6"},
		{row(`unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), "no id"},
		{row(`id = "noises"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), `there is no limit "noises"`},
		{row(`id = "noise"`, `unit = "mil"`, `bad = "above"`, `flag = 3`, `source = "x"`), "unknown unit"},
		{row(`id = "noise"`, `unit = "mm"`, `bad = "above"`, `flag = 3`, `source = "x"`), "noise must be in um"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "below"`, `flag = 3`, `source = "x"`), "bad above"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "over"`, `flag = 3`, `source = "x"`), "below, above or setting"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `source = "x"`), "no level"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = 3`), "no source"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = -3`, `source = "x"`), "zero or more"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = nan`, `source = "x"`), "zero or more"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = inf`, `source = "x"`), "zero or more"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `advise = 4`, `source = "x"`), "advise must come before flag"},
		{row(`id = "sulcus-narrow"`, `unit = "mm"`, `bad = "below"`, `flag = 3`, `advise = 2`, `source = "x"`), "advise must come before flag"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `value = 3`, `source = "x"`), "no value"},
		{row(`id = "adjustment"`, `unit = "mm"`, `bad = "setting"`, `flag = 3`, `source = "x"`), "no levels"},
		{row(`id = "noise"`, `material = "gold"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), "unknown material"},
		{row(`id = "noise"`, `cement = "glue"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), "unknown cement"},
		{row(`id = "noise"`, `zone = "top"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), "unknown zone"},
		{row(`id = "noise"`, `class = "tusk"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`), "unknown class"},
		{row(`id = "noise"`, `unit = "um"`, `bad = "above"`, `flag = 3`, `source = "x"`) + "[[limit]]\nid = \"noise\"\nunit = \"um\"\nbad = \"above\"\nflag = 4\nsource = \"x\"\n", "given twice"},
	} {
		_, err := limit.Parse([]byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || !strings.HasPrefix(err.Error(), "limits: ") {
			t.Errorf("Parse(%q): %v, want one line with %q", c.text, err, c.want)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(limit.Shipped())
	f.Add([]byte(head))
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := limit.Parse(data)
		if err != nil {
			return
		}
		for _, r := range table.Rows() {
			if r.Source == "" || !r.Flag.Set && !r.Advise.Set {
				t.Fatalf("a row without source or level came through: %+v", r)
			}
		}
	})
}
