package layers

import (
	"go/ast"
	"testing"
)

// The hard limits on size. The aims are far lower: files of 80 to 300 lines,
// functions of 5 to 25; these only stop what nobody could review.
const (
	maxFileLines     = 800
	maxFuncLines     = 100
	maxPackageFiles  = 20
	maxPackageLines  = 5000
	maxTestFileLines = 800
)

// TestSizes checks files, functions and packages; generated code is exempt.
func TestSizes(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		if f.generated {
			continue
		}
		limit := maxFileLines
		if f.test {
			limit = maxTestFileLines
		}
		if f.lines > limit {
			t.Errorf("%s has %d lines, more than %d: split it by noun", f.path, f.lines, limit)
		}
		for _, d := range f.syntax.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil {
				continue
			}
			n := tr.fset.Position(fn.End()).Line - tr.fset.Position(fn.Pos()).Line + 1
			if n > maxFuncLines {
				t.Errorf("%s: %s has %d lines, more than %d: split it by verb", tr.at(fn.Pos()), fn.Name.Name, n, maxFuncLines)
			}
		}
	}
	dirs, byDir := tr.packages()
	for _, dir := range dirs {
		lines := 0
		for _, f := range byDir[dir] {
			lines += f.lines
		}
		if n := len(byDir[dir]); n > maxPackageFiles {
			t.Errorf("package %s has %d files, more than %d", dir, n, maxPackageFiles)
		}
		if lines > maxPackageLines {
			t.Errorf("package %s has %d lines, more than %d", dir, lines, maxPackageLines)
		}
	}
}
