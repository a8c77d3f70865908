package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/web/api"
	"selvage/internal/web/stills"
	"selvage/internal/web/ui"
	"selvage/internal/work"
)

// frame is what every page needs.
type frame struct {
	W       Words
	Title   string
	Version string
	Script  bool   // the scripts are built
	Trouble string // key of why nothing can be stored; empty: all is well
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
	if t, yes := s.desk.Trouble(); yes {
		f.Trouble = "fail." + string(t)
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

// mishap is an error in the reader's words.
type mishap struct {
	Status    int
	Kind      string // what a program tells it by
	What, Try string
	To, Say   string        // where to go on, and the key of its words
	Wait      time.Duration // before trying again; 0: it would not help
}

// explain puts an error into words.
func (s *Server) explain(path string, w Words, err error) mishap {
	m := mishap{Status: http.StatusInternalServerError, Kind: "program"}
	var problem *work.Problem
	var corrupt *store.CorruptError
	var tooLarge *http.MaxBytesError
	var refused *refusal
	var staff *people.Problem
	var wait *people.WaitError
	switch {
	case errors.As(err, &refused):
		m = mishap{Status: refused.status, Kind: strings.TrimPrefix(refused.key, "refused."), What: w.T(refused.key), To: refused.link, Say: refused.say, Wait: refused.wait}
		if refused.try != "" {
			m.Try = w.T(refused.try)
		}
	case errors.As(err, &wait):
		m = mishap{Status: http.StatusTooManyRequests, Kind: "wait", What: w.T("who.wait", waited(w, wait.Left)), Wait: wait.Left}
	case errors.As(err, &staff):
		m = mishap{Status: http.StatusConflict, Kind: staff.Key, What: w.T("people." + staff.Key)}
	case errors.Is(err, store.ErrKeyUsed):
		m = mishap{Status: http.StatusUnprocessableEntity, Kind: "key-used", What: w.T("fail.key")}
	case errors.Is(err, work.ErrNoCase), errors.Is(err, errNotThere), errors.Is(err, stills.ErrPlace), errors.Is(err, store.ErrNoBlob):
		m = mishap{Status: http.StatusNotFound, Kind: "none", What: w.T("fail.none"), Try: w.T("fail.none.try")}
	case errors.As(err, &problem):
		m = mishap{Status: http.StatusConflict, Kind: "conflict"}
		m.What, m.Try = problem.In(w.Said)
	case errors.As(err, &corrupt) && corrupt.Kind == store.OtherKey:
		m.Kind, m.What, m.Try = string(corrupt.Kind), w.T("fail.otherkey"), w.T("fail.otherkey.try")
	case errors.As(err, &corrupt):
		m.Kind, m.What, m.Try = string(store.Damaged), w.T("fail.damaged"), w.T("fail.damaged.try")
	case errors.As(err, &tooLarge):
		m = mishap{Status: http.StatusRequestEntityTooLarge, Kind: "large", What: w.T("fail.large"), Try: w.T("fail.large.try")}
	case store.DiskFull(err):
		s.log.Error("the disk is full", "path", path, "error", err)
		m = mishap{Status: http.StatusInsufficientStorage, Kind: "full", What: w.T("fail.full"), Try: w.T("fail.full.try")}
	case store.ReadOnly(err):
		s.log.Error("the disk is read-only", "path", path, "error", err)
		m = mishap{Status: http.StatusInsufficientStorage, Kind: "read-only", What: w.T("fail.read-only"), Try: w.T("fail.read-only.try")}
	default:
		s.log.Error("request failed", "path", path, "error", err)
		m.What, m.Try = w.T("fail.program"), err.Error()
	}
	return m
}

// fail shows an error as a page of its own, with what to try; a program gets it as JSON.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	m := s.explain(r.URL.Path, wordsFor(r), err)
	if m.Wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int((m.Wait+time.Second-1)/time.Second)))
	}
	if forPrograms(r) {
		if m.Status == http.StatusUnauthorized {
			w.Header().Set("WWW-Authenticate", `Bearer realm="Selvage"`)
		}
		writeProblem(w, m)
		return
	}
	v := failView{frame: s.frame(r), Status: m.Status, What: m.What, Try: m.Try, To: m.To, Say: m.Say}
	v.Title = v.What
	if rerr := s.render(w, v.Status, "fail", v); rerr != nil {
		s.log.Error("page of the error", "error", rerr)
	}
}

// problem returns the error as RFC 9457 has it.
func (m mishap) problem() *api.Problem {
	p := &api.Problem{Type: api.ProblemOf + m.Kind, Title: m.What, Status: m.Status, Detail: m.Try}
	if p.Detail == "" {
		p.Detail = m.What
	}
	return p
}

func writeProblem(w http.ResponseWriter, m mishap) {
	data, err := json.Marshal(m.problem())
	if err != nil {
		http.Error(w, m.What, m.Status)
		return
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(m.Status)
	_, _ = w.Write(data) // a reader that went away needs no answer
}
