package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWriteFileReplacesWhole checks that a file is replaced whole and that no
// temporary file stays behind, also where the write cannot succeed.
func TestWriteFileReplacesWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "report.json")
	for _, text := range []string{"first, and longer", "second"} {
		if err := writeFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != text {
			t.Errorf("read %q (%v), want %q", got, err, text)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "taken"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := writeFile(filepath.Join(dir, "taken"), []byte("x")); err == nil {
		t.Error("a folder was overwritten by a file")
	}
	if err := writeFile(filepath.Join(dir, "no", "report.json"), []byte("x")); err == nil {
		t.Error("a file was written into a folder that is not there")
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("%d entries (%v), want the report and the folder only", len(entries), err)
	}
}

// TestOutputsAllow tries every way of harming what is read.
func TestOutputsAllow(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "case")
	if err := os.MkdirAll(filepath.Join(folder, "deep"), 0o700); err != nil {
		t.Fatal(err)
	}
	scan := filepath.Join(folder, "working.stl")
	other := filepath.Join(dir, "other.ply")
	limits := filepath.Join(dir, "limits.toml")
	for _, p := range []string{scan, other, limits} {
		if err := os.WriteFile(p, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	link := filepath.Join(dir, "link")
	if err := os.Symlink(folder, link); err != nil {
		t.Skipf("SKIPPED: this system makes no links: %v", err)
	}
	out := outputs{sources: []string{scan, limits}, folder: folder}
	for _, tt := range []struct {
		path string
		says string // empty: allowed
	}{
		{"", ""},
		{"-", ""},
		{filepath.Join(dir, "report.html"), ""},
		{scan, "case folder"},
		{filepath.Join(folder, "report.html"), "case folder"},
		{filepath.Join(folder, "deep", "report.html"), "case folder"},
		{filepath.Join(dir, "x", "..", "case", "report.html"), "folder"},
		{filepath.Join(link, "report.html"), "case folder"},
		{other, "existing scan"},
		{limits, "never overwritten"},
		{filepath.Join(dir, "none", "report.html"), "does not exist"},
		{folder, "is a folder"},
		{filepath.Join(limits, "report.html"), "limits.toml"},
	} {
		err := out.allow(tt.path)
		switch {
		case tt.says == "" && err != nil:
			t.Errorf("allow(%q) = %v, want it allowed", tt.path, err)
		case tt.says != "" && (err == nil || !strings.Contains(err.Error(), tt.says)):
			t.Errorf("allow(%q) = %v, want an error about %q", tt.path, err, tt.says)
		}
	}
}

// TestOneLine checks that a file name cannot break the one line of an error.
func TestOneLine(t *testing.T) {
	e := &inputError{File: "a\nb\x1b[31m.stl", What: "is empty.", Try: "export it again"}
	line, code := describe(e)
	if strings.ContainsAny(line, "\n\x1b") || code != exitInput {
		t.Errorf("describe = %q, %d", line, code)
	}
	if want := "a b [31m.stl: is empty; try: export it again"; line != want {
		t.Errorf("describe = %q, want %q", line, want)
	}
}
