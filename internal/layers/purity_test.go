package layers

import (
	"go/ast"
	"go/token"
	"strconv"
	"strings"
	"testing"
)

// effects are the packages of the standard library that reach outside a pure
// function: files, sockets, clocks, databases, logs.
var effects = []string{"os", "net", "database", "log", "time", "syscall", "math/rand"}

// effectAllowed are exceptions that have no effect: a generator seeded by its
// caller is a pure function of the seed.
var effectAllowed = map[string]bool{"math/rand/v2": true}

// TestPublicPackagesArePure checks the imports of the packages in the root.
func TestPublicPackagesArePure(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		if f.test || !public(f.dir) {
			continue
		}
		for _, spec := range f.syntax.Imports {
			p, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range effects {
				if (p == e || strings.HasPrefix(p, e+"/")) && !effectAllowed[p] {
					t.Errorf("%s: public package %s imports %s: effects belong under internal/", tr.at(spec.Pos()), f.dir, p)
				}
			}
		}
	}
}

// stateful are types whose zero value is something that changes.
var stateful = map[string]bool{
	"sync.Mutex": true, "sync.RWMutex": true, "sync.Once": true, "sync.Map": true,
	"sync.WaitGroup": true, "atomic.Int32": true, "atomic.Int64": true, "atomic.Value": true,
	"atomic.Pointer": true, "atomic.Bool": true, "rand.Rand": true,
}

// TestPublicPackagesKeepNoState checks that a package-level variable of a public
// package is a table: given a value where it is declared and never written to.
func TestPublicPackagesKeepNoState(t *testing.T) {
	tr := load(t)
	dirs, byDir := tr.packages()
	for _, dir := range dirs {
		if !public(dir) {
			continue
		}
		vars := map[string]bool{}
		specs := map[any]bool{}
		for _, f := range byDir[dir] {
			for _, spec := range packageVars(f.syntax) {
				specs[spec] = true
				checkVar(t, tr, spec, f)
				for _, name := range spec.Names {
					vars[name.Name] = true
				}
			}
		}
		for _, f := range byDir[dir] {
			checkWrites(t, tr, f, vars, specs)
		}
	}
}

// packageVars returns the variable declarations at the top level of a file.
func packageVars(f *ast.File) []*ast.ValueSpec {
	var specs []*ast.ValueSpec
	for _, d := range f.Decls {
		gen, ok := d.(*ast.GenDecl)
		if !ok || gen.Tok != token.VAR {
			continue
		}
		for _, s := range gen.Specs {
			specs = append(specs, s.(*ast.ValueSpec))
		}
	}
	return specs
}

// checkVar refuses variables that are declared without a value or of a kind that
// exists to change. A file embedded by a directive gets its value from there.
func checkVar(t *testing.T, tr *tree, spec *ast.ValueSpec, f goFile) {
	t.Helper()
	if sel, ok := spec.Type.(*ast.SelectorExpr); ok {
		if pkg, ok := sel.X.(*ast.Ident); ok && stateful[pkg.Name+"."+sel.Sel.Name] {
			t.Errorf("%s: package-level %s.%s: a public package keeps no state", tr.at(spec.Pos()), pkg.Name, sel.Sel.Name)
		}
	}
	if len(spec.Values) == 0 && !embedded(f.syntax, spec) {
		t.Errorf("%s: package-level variable %s has no value: make it a constant, a table or an argument", tr.at(spec.Pos()), spec.Names[0].Name)
	}
}

// embedded reports whether a //go:embed line stands right above the variable.
func embedded(f *ast.File, spec *ast.ValueSpec) bool {
	for _, group := range f.Comments {
		for _, c := range group.List {
			if strings.HasPrefix(c.Text, "//go:embed ") && c.End() < spec.Pos() && spec.Pos()-c.End() < 40 {
				return true
			}
		}
	}
	return false
}

// checkWrites refuses assignments to package-level variables, or to their
// elements, from any function.
func checkWrites(t *testing.T, tr *tree, f goFile, vars map[string]bool, specs map[any]bool) {
	t.Helper()
	refuse := func(e ast.Expr) {
		id := rootIdent(e)
		if id == nil || !vars[id.Name] {
			return
		}
		// A name that is resolved to something else in this file is a local.
		if id.Obj != nil && !specs[id.Obj.Decl] {
			return
		}
		t.Errorf("%s: writes to the package-level variable %s: a public package keeps no state", tr.at(e.Pos()), id.Name)
	}
	ast.Inspect(f.syntax, func(n ast.Node) bool {
		switch s := n.(type) {
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE {
				for _, l := range s.Lhs {
					refuse(l)
				}
			}
		case *ast.IncDecStmt:
			refuse(s.X)
		}
		return true
	})
}

// rootIdent returns the variable that an assignable expression starts from.
func rootIdent(e ast.Expr) *ast.Ident {
	for {
		switch x := e.(type) {
		case *ast.Ident:
			return x
		case *ast.IndexExpr:
			e = x.X
		case *ast.SelectorExpr:
			e = x.X
		case *ast.StarExpr:
			e = x.X
		case *ast.ParenExpr:
			e = x.X
		default:
			return nil
		}
	}
}
