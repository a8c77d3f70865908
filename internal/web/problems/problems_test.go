package problems_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"selvage/internal/web/problems"
)

// TestEveryProblemIsTranslated reads the program's source: each sentence of a problem that
// a page may show stands in the German catalogue.
func TestEveryProblemIsTranslated(t *testing.T) {
	german, found := problems.In("de"), 0
	for _, dir := range []string{"../../work", "../../check"} {
		files, err := fs.Glob(os.DirFS(dir), "*.go")
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d files, %v", dir, len(files), err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range said(f) {
				found++
				if s != "%s" && !german.Has(s) {
					t.Errorf("%s/%s: no German for %q", dir, name, s)
				}
			}
		}
	}
	if found < 80 {
		t.Errorf("only %d sentences were found: the reading of the source is at fault", found)
	}
}

// said lists the sentences of the problems in a file: the constant texts of What and Try.
func said(f *ast.File) []string {
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		lit, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		if of, ok := lit.Type.(*ast.Ident); !ok || of.Name != "Problem" && of.Name != "InputError" {
			return true
		}
		for _, e := range lit.Elts {
			kv, ok := e.(*ast.KeyValueExpr)
			if !ok {
				continue
			}
			if key, ok := kv.Key.(*ast.Ident); !ok || key.Name != "What" && key.Name != "Try" {
				continue
			}
			if text, ok := kv.Value.(*ast.BasicLit); ok && text.Kind == token.STRING {
				if s, err := strconv.Unquote(text.Value); err == nil {
					out = append(out, s)
				}
			}
		}
		return true
	})
	return out
}

// TestSay puts together what the catalogue knows in parts.
func TestSay(t *testing.T) {
	german := problems.In("de")
	for english, want := range map[string]string{
		"this case has no such scan":                                                       "diesen Scan hat der Fall nicht",
		"there is nothing to take back; say why":                                           "es gibt nichts zurückzunehmen; sagen, warum",
		"working.stl: holds no triangle that has an area":                                  "working.stl: enthält kein Dreieck mit einer Fläche",
		"upper.stl: its longest side is 6.4, which fits cm and in; say which with --units": "upper.stl: seine längste Seite misst 6.4, das passt zu cm and in; den Scan in Millimetern exportieren",
		"the folder D:\\a: b may not be read":                                              "der Ordner D:\\a: b darf nicht gelesen werden",
		"what nobody translated":                                                           "what nobody translated",
	} {
		if got := german.Say(english); got != want {
			t.Errorf("%q is %q, want %q", english, got, want)
		}
	}
	if s := "this case has no such scan"; problems.In("en").Say(s) != s {
		t.Error("English was altered")
	}
}
