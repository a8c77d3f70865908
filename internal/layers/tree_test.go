package layers

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strings"
	"sync"
	"testing"
)

// modulePath is the import path of the module's root.
const modulePath = "selvage"

// goFile is one parsed Go file of the tree.
type goFile struct {
	path      string // from the root, with slashes
	dir       string // its package's directory
	test      bool   // name ends in _test.go
	generated bool   // carries the standard "DO NOT EDIT" line
	lines     int
	syntax    *ast.File
}

// tree is every Go file of the module, in order of path.
type tree struct {
	root  string
	fset  *token.FileSet
	files []goFile
}

// skipped are directories that hold nothing of the module's own Go code.
var skipped = []string{".git", "out", "bin", "node_modules", "testdata", "vendor", "tools"}

// wholeTree parses the module once for all tests of the package.
var wholeTree = sync.OnceValues(readTree)

// load returns the parsed tree or ends the test.
func load(t *testing.T) *tree {
	t.Helper()
	tr, err := wholeTree()
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

func readTree() (*tree, error) {
	root, err := filepath.Abs("../..")
	if err != nil {
		return nil, err
	}
	tr := &tree{root: root, fset: token.NewFileSet()}
	err = filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if skip(d.Name()) {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(p, ".go") {
			return nil
		}
		f, err := tr.parse(p)
		if err != nil {
			return err
		}
		tr.files = append(tr.files, f)
		return nil
	})
	sort.Slice(tr.files, func(i, j int) bool { return tr.files[i].path < tr.files[j].path })
	return tr, err
}

func skip(name string) bool {
	for _, s := range skipped {
		if name == s {
			return true
		}
	}
	return false
}

func (tr *tree) parse(p string) (goFile, error) {
	data, err := os.ReadFile(p)
	if err != nil {
		return goFile{}, err
	}
	rel, err := filepath.Rel(tr.root, p)
	if err != nil {
		return goFile{}, err
	}
	rel = filepath.ToSlash(rel)
	syntax, err := parser.ParseFile(tr.fset, rel, data, parser.ParseComments)
	if err != nil {
		return goFile{}, err
	}
	return goFile{
		path:      rel,
		dir:       path.Dir(rel),
		test:      strings.HasSuffix(rel, "_test.go"),
		generated: ast.IsGenerated(syntax),
		lines:     bytes.Count(data, []byte("\n")),
		syntax:    syntax,
	}, nil
}

// public reports whether the package in dir may be imported by anyone.
func public(dir string) bool {
	return dir != "." && !strings.HasPrefix(dir, "internal/") &&
		!strings.HasPrefix(dir, "cmd/") && dir != "bench" && !strings.HasPrefix(dir, "bench/")
}

// packages groups the files that are not tests by directory, in order.
func (tr *tree) packages() (dirs []string, byDir map[string][]goFile) {
	byDir = map[string][]goFile{}
	for _, f := range tr.files {
		if f.test {
			continue
		}
		if byDir[f.dir] == nil {
			dirs = append(dirs, f.dir)
		}
		byDir[f.dir] = append(byDir[f.dir], f)
	}
	return dirs, byDir
}

// at formats a position for a failure that an editor can jump to.
func (tr *tree) at(p token.Pos) string {
	pos := tr.fset.Position(p)
	return pos.String()
}
