package layers

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestPackageComments checks that every package says what question it answers.
func TestPackageComments(t *testing.T) {
	tr := load(t)
	dirs, byDir := tr.packages()
	for _, dir := range dirs {
		var docs []string
		for _, f := range byDir[dir] {
			if f.syntax.Doc != nil {
				docs = append(docs, f.path)
				text := f.syntax.Doc.Text()
				if name := f.syntax.Name.Name; name != "main" && !strings.HasPrefix(text, "Package "+name+" ") {
					t.Errorf("%s: the package comment must begin with \"Package %s\"", f.path, name)
				}
			}
		}
		switch {
		case len(docs) == 0:
			t.Errorf("%s: no package comment: say what question it answers, in which frame and units, and what it refuses", dir)
		case len(docs) > 1:
			t.Errorf("%s: package comments in %s: keep one", dir, strings.Join(docs, " and "))
		}
	}
}

// TestExportedIdentifiersAreDocumented checks functions, methods, types,
// constants and variables; a comment on a group serves its members.
func TestExportedIdentifiersAreDocumented(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		if f.test || f.generated {
			continue
		}
		for _, d := range f.syntax.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				checkFuncDoc(t, tr, d)
			case *ast.GenDecl:
				checkGenDoc(t, tr, d)
			}
		}
	}
}

func checkFuncDoc(t *testing.T, tr *tree, d *ast.FuncDecl) {
	t.Helper()
	if !d.Name.IsExported() || (d.Recv != nil && !exportedReceiver(d.Recv)) {
		return
	}
	checkDoc(t, tr, d.Name, d.Doc)
}

// exportedReceiver reports whether the type of a method is exported.
func exportedReceiver(recv *ast.FieldList) bool {
	e := recv.List[0].Type
	for {
		switch x := e.(type) {
		case *ast.StarExpr:
			e = x.X
		case *ast.IndexExpr:
			e = x.X
		case *ast.IndexListExpr:
			e = x.X
		case *ast.Ident:
			return x.IsExported()
		default:
			return false
		}
	}
}

func checkGenDoc(t *testing.T, tr *tree, d *ast.GenDecl) {
	t.Helper()
	for _, s := range d.Specs {
		switch s := s.(type) {
		case *ast.TypeSpec:
			if !s.Name.IsExported() {
				continue
			}
			switch {
			case s.Doc != nil:
				checkDoc(t, tr, s.Name, s.Doc)
			case d.Lparen != token.NoPos && (d.Doc != nil || s.Comment != nil): // a group's comment serves
			default:
				checkDoc(t, tr, s.Name, d.Doc)
			}
		case *ast.ValueSpec:
			for _, name := range s.Names {
				if name.IsExported() && s.Doc == nil && s.Comment == nil && d.Doc == nil {
					t.Errorf("%s: %s is exported and has no comment", tr.at(name.Pos()), name.Name)
				}
			}
		}
	}
}

// checkDoc demands a comment that begins with the identifier and ends a sentence.
func checkDoc(t *testing.T, tr *tree, name *ast.Ident, doc *ast.CommentGroup) {
	t.Helper()
	if doc == nil {
		t.Errorf("%s: %s is exported and has no comment", tr.at(name.Pos()), name.Name)
		return
	}
	text := doc.Text()
	for _, article := range []string{"A ", "An ", "The "} {
		text = strings.TrimPrefix(text, article)
	}
	if !strings.HasPrefix(text, name.Name) {
		t.Errorf("%s: the comment on %s must begin with %q", tr.at(name.Pos()), name.Name, name.Name)
	}
}

// citation is a key such as [Baerentzen2005] or [Goodacre2001, §3] in a comment.
var citation = regexp.MustCompile(`\[([A-Z][A-Za-z-]*[0-9]{4}[a-z]?)(?:, [^\]]*)?\]`)

// bibKey is the key of an entry of REFERENCES.bib.
var bibKey = regexp.MustCompile(`(?m)^@[a-z]+\{([^,\s]+),`)

// TestCitationsResolve checks that every work cited in a comment or in the
// documentation has its entry, and that no key is given twice.
func TestCitationsResolve(t *testing.T) {
	tr := load(t)
	bib, err := os.ReadFile(filepath.Join(tr.root, "REFERENCES.bib"))
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, m := range bibKey.FindAllStringSubmatch(string(bib), -1) {
		if known[m[1]] {
			t.Errorf("REFERENCES.bib: the key %s is given twice", m[1])
		}
		known[m[1]] = true
	}
	check := func(where, text string) {
		for _, m := range citation.FindAllStringSubmatch(text, -1) {
			if !known[m[1]] {
				t.Errorf("%s cites [%s], which is not in REFERENCES.bib", where, m[1])
			}
		}
	}
	for _, f := range tr.files {
		for _, group := range f.syntax.Comments {
			check(tr.at(group.Pos()), group.Text())
		}
	}
	for _, p := range textFiles(t, tr.root, ".md") {
		data, err := os.ReadFile(filepath.Join(tr.root, p))
		if err != nil {
			t.Fatal(err)
		}
		check(p, string(data))
	}
}
