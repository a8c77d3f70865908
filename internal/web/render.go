package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"

	"selvage/internal/people"
	"selvage/internal/web/ui"
)

// frame is what every page needs.
type frame struct {
	W       Words
	Title   string
	Version string
	Script  bool // the scripts are built
	Me      person
}

// person is who is signed in, as every page shows them.
type person struct {
	Name  string
	Fresh bool   // nobody is known here yet, and this computer may make the first
	Idle  int    // seconds without a touch after which the page locks itself; 0: never
	Keys  string // laid elsewhere, as JSON, by the usual key; see [people.Keys]
	Here  string // this page, to come back to
	may   func(people.Action) bool
}

// May reports whether who looks at the page may do something.
func (p person) May(action string) bool { return p.may != nil && p.may(people.Action(action)) }

func (s *Server) frame(r *http.Request) frame {
	v := visitorOf(r)
	f := frame{W: wordsFor(r), Version: s.version, Script: ui.Built()}
	f.Me = person{Name: v.person.Name, Fresh: v.fresh && v.where.Place == people.Chair && r.URL.Path != "/first", may: v.person.May}
	if len(v.person.Keys) > 0 {
		if data, err := json.Marshal(v.person.Keys); err == nil { // a map of texts
			f.Me.Keys = string(data)
		}
	}
	if v.person.ID != "" {
		f.Me.Idle = 60 * v.idle
	}
	if r.Method == http.MethodGet {
		f.Me.Here = r.URL.RequestURI()
	}
	return f
}

// failView is the page of an error.
type failView struct {
	frame
	Status    int
	What, Try string
	To, Say   string // where to go on, and the key of its words
}

// render writes a page whole or not at all.
func (s *Server) render(w http.ResponseWriter, status int, name string, v any) error {
	var b bytes.Buffer
	if err := s.pages.ExecuteTemplate(&b, name, v); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // a reader that went away needs no answer
	return nil
}

// join makes a path of parts, for templates.
func join(parts ...string) string { return "/" + strings.Join(parts, "/") }
