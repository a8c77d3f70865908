package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"selvage/finding"
)

// folderWith writes files into a new folder.
func folderWith(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestLoadFolder checks what is read from a folder without case.json: the scans in
// order of name, their roles, and what was assumed.
func TestLoadFolder(t *testing.T) {
	dir := folderWith(t, map[string]string{
		"upper.STL": "u", "lower.ply": "l", "bite.obj": "b", "scan9.stl": "s",
		"notes.txt": "n", ".hidden.stl": "h",
	})
	l, err := load([]string{dir}, order{Tooth: "26", Material: "zirconia-3y"})
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		name string
		role finding.Role
	}{
		{"bite.obj", finding.RoleBite}, {"lower.ply", finding.RoleOpposing}, {"scan9.stl", ""}, {"upper.STL", finding.RoleWorking},
	}
	if len(l.input.Files) != len(want) {
		t.Fatalf("%d files, want %d", len(l.input.Files), len(want))
	}
	for i, w := range want {
		if f := l.input.Files[i]; f.Name != w.name || f.Role != w.role {
			t.Errorf("file %d is %s as %q, want %s as %q", i, f.Name, f.Role, w.name, w.role)
		}
	}
	r := l.input.Case.Restorations[0]
	if r.Tooth.Code != "26" || r.Material != "zirconia-3y" || l.folder != dir {
		t.Errorf("restoration %+v in %s", r, l.folder)
	}
	if said := strings.Join(l.input.Assumed, "\n"); !strings.Contains(said, "upper.STL is taken as the working scan") || strings.Contains(said, "scan9") {
		t.Errorf("assumed:\n%s", said)
	}
}

// TestRoleOnTheCommandLine checks that a given role wins over the file's name.
func TestRoleOnTheCommandLine(t *testing.T) {
	dir := folderWith(t, map[string]string{"upper.stl": "u", "upper2nd.stl": "v", "lower.stl": "l"})
	l, err := load([]string{dir}, order{Tooth: "26", Role: map[name]string{"working": "upper2nd.stl", "before": "upper.stl"}})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]finding.Role{}
	for _, f := range l.input.Files {
		got[f.Name] = f.Role
	}
	if got["upper2nd.stl"] != finding.RoleWorking || got["upper.stl"] != finding.RoleBefore || got["lower.stl"] != finding.RoleOpposing {
		t.Errorf("roles %v", got)
	}
}

// TestOverrideIsSaid checks that an order from the command line does not pass for
// the prescription's own.
func TestOverrideIsSaid(t *testing.T) {
	dir := folderWith(t, map[string]string{
		"working.stl": "w",
		"case.json": `{"restorations": [
			{"tooth": {"system": "universal", "code": "14"}, "material": "leucite"},
			{"tooth": {"system": "universal", "code": "15"}}],
			"scans": [{"role": "working", "file": "working.stl"}], "colour": "blue"}`,
	})
	l, err := load([]string{dir}, order{Tooth: "26", Material: "zirconia-4y"})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(l.input.Case.Restorations); n != 1 {
		t.Errorf("%d restorations, want the one asked for", n)
	}
	said := strings.Join(l.input.Assumed, "\n")
	for _, want := range []string{"only tooth 26", "the material is zirconia-4y", "case.json says leucite", "colour"} {
		if !strings.Contains(said, want) {
			t.Errorf("what was assumed does not say %q:\n%s", want, said)
		}
	}
	// case.json named by itself is the same case.
	again, err := load([]string{filepath.Join(dir, caseName)}, order{})
	if err != nil || len(again.input.Case.Restorations) != 2 || again.folder != dir {
		t.Errorf("case.json by name: %d restorations in %s (%v)", len(again.input.Case.Restorations), again.folder, err)
	}
}

// TestFileOutsideTheCase checks that case.json cannot point elsewhere.
func TestFileOutsideTheCase(t *testing.T) {
	for _, file := range []string{"../working.stl", "/etc/passwd", "a/../../b.stl"} {
		dir := folderWith(t, map[string]string{
			"case.json": `{"restorations": [{"tooth": {"system": "fdi", "code": "26"}}], "scans": [{"role": "working", "file": "` + file + `"}]}`,
		})
		if _, err := load([]string{dir}, order{}); err == nil {
			t.Errorf("%s was read from outside the case folder", file)
		}
	}
}
