package api

import (
	"context"
	"errors"
	"net/http"
	"slices"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/work"
)

// Site is what the door knows and the rooms behind it do not.
type Site struct {
	Desk    *work.Desk
	Version string
	Me      func(context.Context) people.Person // who asks
	Actor   func(context.Context) string        // the same, as the ledger names them
	Still   func(context.Context) bool          // whether who asked may still
	Explain func(context.Context, error) *Problem
}

// Problem says what went wrong, as RFC 9457 has it.
type Problem = huma.ErrorModel

// ProblemOf begins the types of problems.
const ProblemOf = "urn:selvage:problem:"

// Root is where the addresses of the interface begin.
const Root = "/api/v1"

// server answers.
type server struct {
	Site
	api huma.API
}

// Add serves the interface from mux and returns its description.
func Add(mux *http.ServeMux, site Site) *huma.OpenAPI {
	conf := huma.DefaultConfig("Selvage", site.Version)
	conf.OpenAPIPath, conf.DocsPath, conf.SchemasPath = "", "", "" // the door serves the description
	conf.CreateHooks = nil                                         // no address of a schema in every answer
	conf.RejectUnknownQueryParameters = true
	conf.Info.Description = about
	conf.Info.License = &huma.License{Name: "see the program's LICENSE"}
	conf.Servers = []*huma.Server{{URL: "/", Description: "where this document was read"}}
	conf.Components.SecuritySchemes = map[string]*huma.SecurityScheme{
		"token": {Type: "http", Scheme: "bearer", Description: "a token that the manager makes for a program, on the page of settings"},
	}
	conf.Security = []map[string][]string{{"token": {}}}
	conf.Tags = []*huma.Tag{
		{Name: "cases", Description: "a patient's visit for one crown: what is ordered, and the scans"},
		{Name: "checks", Description: "one measuring of what a case held"},
		{Name: "news", Description: "what happens, as it happens"},
	}
	s := &server{Site: site, api: humago.New(mux, conf)}
	s.cases()
	s.scans()
	s.checks()
	s.news()
	return s.api.OpenAPI()
}

const about = `How another program brings the scans of a tooth prepared for a crown and reads what was found.

A case is opened, told which tooth was prepared and in what material the crown will be, and given its scans;
it is then checked by itself, and anew whenever something in it changes. A check's word holds for exactly the
scans it names: when the case holds anything else, the check is no longer the current one.

Requests that change something may carry an Idempotency-Key: a request that is sent again with its key answers
as it did the first time and alters nothing. Lengths are in millimetres, times in UTC, teeth in FDI numbers.

Every reading of a case, a report or a picture is noted in the case's history under the program's name. Lists
and the stream of news hold no name of a case or a patient, and reading them is not noted.

Problems are told as RFC 9457 has it (application/problem+json). Too many requests are answered 429 with the
seconds to wait in Retry-After.`

// handle adds one operation. An error that is not the library's own is told in the
// reader's words.
func handle[I, O any](s *server, op huma.Operation, h func(context.Context, *I) (*O, error)) {
	op.Path = Root + op.Path
	op.Errors = append(op.Errors, http.StatusUnauthorized, http.StatusForbidden, http.StatusTooManyRequests)
	slices.Sort(op.Errors)
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := h(ctx, in)
		if err != nil {
			return nil, s.problem(ctx, err)
		}
		return out, nil
	})
}

func (s *server) problem(ctx context.Context, err error) error {
	var known *Problem
	if errors.As(err, &known) {
		return err
	}
	return s.Explain(ctx, err)
}

// Once is the key under which a request is made once.
type Once struct {
	Key string `header:"Idempotency-Key" maxLength:"200" pattern:"^[!-~ ]*$" patternDescription:"printable ASCII" doc:"Any text that no other request of this program carries: the request is then done once, however often it is sent."`
}

// under returns a context in which a change is made once under the key of a request. of
// says what is asked for.
func (s *server) under(ctx context.Context, o Once, of string) context.Context {
	if o.Key == "" {
		return ctx
	}
	return store.Once(ctx, store.Key{Name: s.Actor(ctx) + " " + o.Key, Of: of})
}
