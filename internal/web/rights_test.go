package web

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// TestEveryRouteAsksSomething checks that every change that a page can send is in the
// table of rights, and that the table names no address that is not served.
func TestEveryRouteAsksSomething(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	route := regexp.MustCompile(`mux\.Handle(?:Func)?\("([A-Z]+ [^"]+)"`)
	served := map[string]bool{}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range route.FindAllStringSubmatch(string(data), -1) {
			served[m[1]] = true
			if _, ok := needOf(m[1]); !ok {
				t.Errorf("%s: %q asks nothing of who uses it: add it to rights.go", f, m[1])
			}
		}
	}
	for p := range needs {
		if !served[p] {
			t.Errorf("rights.go names %q, which is not served", p)
		}
	}
	if len(served) < 30 {
		t.Errorf("only %d routes found: the search is wrong", len(served))
	}
}
