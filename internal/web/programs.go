package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/people"
	"selvage/internal/web/api"
)

// programs adds what other programs use, and its description.
func (s *Server) programs(mux *http.ServeMux) {
	doc := api.Add(mux, api.Site{
		Desk: s.desk, Version: s.version,
		Me:    func(ctx context.Context) people.Person { return visitorIn(ctx).person },
		Actor: func(ctx context.Context) string { return actorIn(ctx) },
		Still: s.programStill,
		Explain: func(ctx context.Context, err error) *api.Problem {
			return s.explain(api.Root, visitorIn(ctx).words, err).problem()
		},
	})
	mux.HandleFunc("GET /api/openapi.json", s.page(func(w http.ResponseWriter, _ *http.Request) error { return writeJSON(w, doc) }))
	mux.HandleFunc("GET /api/report.schema.json", s.page(reportSchema))
	mux.Handle("GET /metrics", s.gauges.Handler())
	mux.HandleFunc("/api/", s.page(func(w http.ResponseWriter, r *http.Request) error { return noSuchOperation(mux, w, r) }))
}

func reportSchema(w http.ResponseWriter, _ *http.Request) error {
	data, err := casefile.SchemaOfReport()
	if err != nil {
		return err
	}
	return writeJSON(w, json.RawMessage(data))
}

// noSuchOperation tells an address that is not there from one that is, and does not do
// what was asked.
func noSuchOperation(mux *http.ServeMux, w http.ResponseWriter, r *http.Request) error {
	var may []string
	for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPut} {
		q := r.Clone(r.Context())
		q.Method = method
		if _, pattern := mux.Handler(q); pattern != "/api/" {
			may = append(may, method)
		}
	}
	if len(may) == 0 {
		return errNotThere
	}
	w.Header().Set("Allow", strings.Join(may, ", "))
	return &refusal{status: http.StatusMethodNotAllowed, key: "refused.method"}
}

// forPrograms reports whether an address is one that other programs use.
func forPrograms(r *http.Request) bool {
	return strings.HasPrefix(r.URL.Path, "/api/") || r.URL.Path == "/metrics"
}

// bearer returns the token that a request shows, and whether it shows one. WHY nowhere
// else: a token opens no page.
func bearer(r *http.Request) (string, bool) {
	how, token, ok := strings.Cut(r.Header.Get("Authorization"), " ")
	return strings.TrimSpace(token), ok && forPrograms(r) && strings.EqualFold(how, "Bearer")
}

// program finds out which program asks.
func (s *Server) program(r *http.Request, v *visitor, token string) (err error) {
	v.person, err = s.book.Show(r.Context(), v.where, token)
	v.program = err == nil
	if errors.Is(err, people.ErrWrong) {
		return &refusal{status: http.StatusUnauthorized, key: "refused.token"}
	}
	return err
}

// programStill reports whether the program that asked may still, for what takes long.
func (s *Server) programStill(ctx context.Context) bool {
	v := visitorIn(ctx)
	if !v.program {
		return s.stillIn(ctx)
	}
	all, err := s.book.Programs(ctx)
	return err == nil && slices.ContainsFunc(all, func(p people.Person) bool { return p.ID == v.person.ID && !p.Left })
}
