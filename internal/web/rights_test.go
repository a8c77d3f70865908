package web

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"selvage/internal/web/api"
)

// TestEveryRouteAsksSomething checks that every change that a page can send is in the
// table of rights, and that the table names no address that is not served.
func TestEveryRouteAsksSomething(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	rooms, err := filepath.Glob("*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	files = append(files, rooms...)
	route := regexp.MustCompile(`mux\.Handle(?:Func)?\("((?:[A-Z]+ )?/[^"]*)"`)
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
	for p := range described(t) {
		served[p] = true
		if _, ok := needs[p]; !ok {
			t.Errorf("%q is described to other programs and asks nothing of them: add it to rights.go", p)
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

// described lists the operations that other programs are told of, as patterns of routes.
func described(t *testing.T) map[string]bool {
	t.Helper()
	data, err := json.Marshal(api.Add(http.NewServeMux(), api.Site{}))
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Paths map[string]map[string]any `json:"paths"`
	}
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	out := map[string]bool{}
	for path, ops := range doc.Paths {
		for method := range ops {
			out[strings.ToUpper(method)+" "+path] = true
		}
	}
	if len(out) < 10 {
		t.Errorf("only %d operations are described: the search is wrong", len(out))
	}
	return out
}
