package check

import (
	"errors"
	"testing"

	"selvage/finding"
	"selvage/tooth"
)

// TestFindFor: a tooth is measured on the scan that names it, else on the only one that names
// none; never on another tooth's, one that could not be read, or one from before the last cut.
func TestFindFor(t *testing.T) {
	scan := func(file string, n tooth.Number) *Scan {
		return &Scan{File: file, Role: finding.RolePreparation, Tooth: n}
	}
	old, broken := scan("old", 26), scan("broken", 26)
	old.Newer, broken.Fault = scan("new", 26), "broken"
	arch := &Scan{File: "arch", Role: finding.RoleWorking, Tooth: 26}
	for _, c := range []struct {
		name  string
		scans []*Scan
		want  string
	}{
		{"it names the tooth", []*Scan{arch, scan("25", 25), scan("none", 0), scan("26", 26)}, "26"},
		{"the only one without a name", []*Scan{scan("25", 25), scan("none", 0)}, "none"},
		{"two without a name", []*Scan{scan("one", 0), scan("two", 0)}, ""},
		{"of another tooth", []*Scan{scan("25", 25)}, ""},
		{"from before the last cut", []*Scan{old}, ""},
		{"not readable", []*Scan{broken}, ""},
		{"an arch", []*Scan{arch}, ""},
	} {
		got := ""
		if s := findFor(c.scans, 26); s != nil {
			got = s.File
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestDoubledRole: one arch cannot be two files; several preparations can.
func TestDoubledRole(t *testing.T) {
	of := func(roles ...finding.Role) (out []*Scan) {
		for _, r := range roles {
			out = append(out, &Scan{File: string(r), Role: r})
		}
		return out
	}
	const p, w, o = finding.RolePreparation, finding.RoleWorking, finding.RoleOpposing
	for _, c := range []struct {
		scans  []*Scan
		refuse bool
	}{{of(p, p, w, o, finding.RoleDesign, finding.RoleDesign, "", ""), false}, {of(w, o, w), true}, {of(w, o, finding.RoleBite, finding.RoleBite), true}} {
		err := doubledRole(c.scans)
		var asks *InputError
		if (err != nil) != c.refuse || c.refuse && !errors.As(err, &asks) {
			t.Errorf("%d scans: %v", len(c.scans), err)
		}
	}
}
