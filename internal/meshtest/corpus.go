package meshtest

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"selvage/mesh"
	"selvage/meshio/wire"
)

// Entry is a file of a corpus and what must happen when it is decoded.
type Entry struct {
	File string
	Data []byte
	Want string // as [Outcome] writes it
	Why  string
}

// Corpus reads the manifest of the corpus in dir and the files that it names,
// and fails the test where the two do not agree: each file must be in the
// manifest and each row must have its file.
//
// The manifest is a table with tabs: file, what must happen, why the file is
// there. Lines that start with # are comments.
func Corpus(t testing.TB, dir string) []Entry {
	t.Helper()
	table, err := os.ReadFile(filepath.Join(dir, "manifest.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	var entries []Entry
	listed := map[string]bool{}
	for n, line := range strings.Split(strings.TrimSpace(string(table)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "\t")
		if len(cells) != 3 || listed[cells[0]] {
			t.Fatalf("%s: manifest line %d: %q is no row, or its file occurs twice", dir, n+1, line)
		}
		listed[cells[0]] = true
		data, err := os.ReadFile(filepath.Join(dir, cells[0]))
		if err != nil {
			t.Errorf("in the manifest but not there: %v", err)
			continue
		}
		entries = append(entries, Entry{cells[0], data, cells[1], cells[2]})
	}
	checkListed(t, dir, listed)
	return entries
}

// maxCorpusFile keeps the corpus small: every file shows one thing.
const maxCorpusFile = 8 << 10

// checkListed fails the test for every file of dir/good and dir/bad that is not
// listed, or is too large.
func checkListed(t testing.TB, dir string, listed map[string]bool) {
	t.Helper()
	for _, sub := range []string{"good", "bad"} {
		root := filepath.Join(dir, sub)
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			name, _ := filepath.Rel(dir, path)
			if !listed[filepath.ToSlash(name)] {
				t.Errorf("%s is not in the manifest", path)
			}
			if info, err := d.Info(); err == nil && info.Size() > maxCorpusFile {
				t.Errorf("%s has %d bytes, %d are allowed", path, info.Size(), maxCorpusFile)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	}
}

// Outcome puts what a decoder returned into the words of a manifest: for a
// surface its encoding, counts, sizes and colours, for an error its kind and
// place.
func Outcome(s mesh.Soup, l wire.Layout, err error) string {
	if err != nil {
		var e *wire.Error
		if !errors.As(err, &e) {
			return "untyped error: " + err.Error()
		}
		if e.Unit == "" {
			return e.Kind.String()
		}
		return fmt.Sprintf("%s at %s %d", e.Kind, e.Unit, e.Index)
	}
	m, _ := mesh.Build(s)
	words := []string{fmt.Sprintf("%s: %d faces, %d vertices, area %.4f, volume %.4f",
		l.Encoding, len(m.Tri), len(m.Pos), m.Area(), m.SignedVolume())}
	if m.Color != nil {
		words = append(words, fmt.Sprintf("colours #%x…#%x", m.Color[0], m.Color[len(m.Color)-1]))
	}
	for _, n := range []struct {
		n    int
		what string
	}{{l.Polygons, "polygons"}, {l.Short, "short"}, {l.Trailing, "trailing"}} {
		if n.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", n.n, n.what))
		}
	}
	return strings.Join(words, ", ")
}

// TryCorpus decodes every file of the corpus in dir and compares what happens
// with the manifest. A message must be one line, say what was decoded, and end
// with what to try.
func TryCorpus(t *testing.T, dir string, decode func([]byte) (mesh.Soup, wire.Layout, error)) {
	for _, e := range Corpus(t, dir) {
		t.Run(e.File, func(t *testing.T) {
			s, l, err := decode(e.Data)
			if got := Outcome(s, l, err); got != e.Want {
				t.Errorf("%s\n got %s\nwant %s\nerror: %v", e.Why, got, e.Want, err)
			}
			if bad := strings.HasPrefix(e.File, "bad/"); bad != (err != nil) {
				t.Errorf("a file of this folder gave the error %v", err)
			}
			if err == nil {
				return
			}
			if msg := err.Error(); strings.ContainsAny(msg, "\n\r\t") || !strings.HasPrefix(msg, "decode ") ||
				!strings.Contains(msg, "; ") || strings.HasSuffix(msg, ".") {
				t.Errorf("message %q", msg)
			}
			if len(s.Pos)+len(s.Tri)+len(s.Color) != 0 {
				t.Error("an error came with part of a surface")
			}
		})
	}
}
