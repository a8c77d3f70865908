package layers

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// unwanted are words and paths that have no business in the tree: filler, and
// traces of the machine that a file was written on. Each is written in two
// halves so that this file does not contain it.
var unwanted = []struct{ word, why string }{
	{"lo" + "rem ipsum", "filler text"},
	{"place" + "holder", "finish it or leave it out"},
	{"trans" + "cript", "not part of the program"},
	{"seed " + "document", "not part of the program"},
	{"language" + " model", "not part of the program"},
	{"/wo" + "rk/main", "an absolute path of one machine"},
	{"/wo" + "rk/shared", "an absolute path of one machine"},
	{"/wo" + "rk/.", "an absolute path of one machine"},
	{"/ro" + "ot/", "an absolute path of one machine"},
	{"/ho" + "me/", "an absolute path of one machine"},
	{"proxy." + "golang.org", "a registry's host; the toolchain's own setting decides"},
	{"registry." + "npmjs.org", "a registry's host; the client's own setting decides"},
	{"FIX" + "ME", "open an issue, or mend it"},
	{"XX" + "X ", "open an issue, or mend it"},
}

// bareTODO is a note of unfinished business without a topic.
var bareTODO = regexp.MustCompile(`\bTO` + `DO\b[^(]`)

// TestNoUnwantedWords reads every text file of the tree.
func TestNoUnwantedWords(t *testing.T) {
	tr := load(t)
	for _, p := range textFiles(t, tr.root, "") {
		data, err := os.ReadFile(filepath.Join(tr.root, p))
		if err != nil {
			t.Fatal(err)
		}
		if bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data) || len(data) > 1<<20 {
			continue // not a text that somebody wrote
		}
		for i, line := range strings.Split(string(data), "\n") {
			lower := strings.ToLower(line)
			for _, u := range unwanted {
				if strings.Contains(lower, strings.ToLower(u.word)) {
					t.Errorf("%s:%d: contains %q: %s", p, i+1, u.word, u.why)
				}
			}
			if bareTODO.MatchString(line) {
				t.Errorf("%s:%d: a note of unfinished business needs a topic and what it would take", p, i+1)
			}
		}
	}
}

// textFiles lists the files of the tree whose name ends in ext (any, if empty),
// as paths from the root, leaving out build products and test corpora.
func textFiles(t *testing.T, root, ext string) []string {
	t.Helper()
	var paths []string
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); n == ".git" || n == "out" || n == "bin" || n == "dist" || n == "node_modules" {
				return filepath.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || !strings.HasSuffix(p, ext) || d.Name() == ".git" || d.Name() == "go.sum" || d.Name() == "LICENSE" {
			return nil
		}
		rel, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		paths = append(paths, filepath.ToSlash(rel))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return paths
}
