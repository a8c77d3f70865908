package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"selvage/internal/casefile"
	"selvage/internal/work"
	"selvage/limit"
	"selvage/tooth"
)

// fdi reads the number of a tooth.
func fdi(code string) (tooth.Number, error) {
	n, err := tooth.Parse(tooth.FDI, code)
	if err != nil {
		return 0, &work.Problem{What: err.Error()}
	}
	return n, nil
}

// Resolve holds an order against the words that the program knows.
func (o *order) Resolve(huma.Context) []error {
	var out []error
	out = append(out, among("material", o.Material, limit.Materials())...)
	out = append(out, among("finish_line", o.FinishLine, limit.FinishLines())...)
	return append(out, among("cement", o.Cement, limit.Cements())...)
}

func among[T ~string](field string, v T, known []T) []error {
	if v == "" {
		return nil
	}
	for _, k := range known {
		if v == k {
			return nil
		}
	}
	return []error{&huma.ErrorDetail{Message: fmt.Sprintf("not one of %v", known), Location: "body." + field, Value: v}}
}

// CaseAt names a case.
type CaseAt struct {
	Case string `path:"case" maxLength:"64" doc:"id of the case"`
}

// cases adds the operations on cases.
func (s *server) cases() {
	handle(s, huma.Operation{
		OperationID: "whoami", Method: http.MethodGet, Path: "/me", Tags: []string{"cases"},
		Summary: "Which program a token is of, and what it may do",
	}, s.whoAmI)
	handle(s, huma.Operation{
		OperationID: "list-cases", Method: http.MethodGet, Path: "/cases", Tags: []string{"cases"},
		Summary: "The cases that changed last", Description: "Newest first, without names.",
	}, s.list)
	handle(s, huma.Operation{
		OperationID: "open-case", Method: http.MethodPost, Path: "/cases", Tags: []string{"cases"}, DefaultStatus: http.StatusCreated,
		Summary: "Open a case", Errors: []int{http.StatusConflict},
	}, s.open)
	handle(s, huma.Operation{
		OperationID: "get-case", Method: http.MethodGet, Path: "/cases/{case}", Tags: []string{"cases"},
		Summary: "Where a case stands", Errors: []int{http.StatusNotFound},
	}, s.get)
	handle(s, huma.Operation{
		OperationID: "set-order", Method: http.MethodPut, Path: "/cases/{case}/order", Tags: []string{"cases"},
		Summary: "Say what is to be made", Description: "The case is checked anew where it holds scans.",
		Errors: []int{http.StatusNotFound, http.StatusConflict},
	}, s.setOrder)
}

type meOutput struct {
	Body struct {
		ID   string   `json:"id"`
		Name string   `json:"name"`
		May  []string `json:"may" nullable:"false" doc:"see: read; check: bring scans and have them measured"`
	}
}

func (s *server) whoAmI(ctx context.Context, _ *struct{}) (*meOutput, error) {
	me := s.Me(ctx)
	out := &meOutput{}
	out.Body.ID, out.Body.Name, out.Body.May = s.Actor(ctx), me.Name, mayOf(me)
	return out, nil
}

type listInput struct {
	Limit int `query:"limit" minimum:"1" maximum:"200" default:"50" doc:"how many at most"`
}

// listed is a case in a list: nothing that says whose it is.
type listed struct {
	Case    string    `json:"case"`
	Version int64     `json:"version"`
	Changed time.Time `json:"changed"`
	Check   *check    `json:"check,omitempty" doc:"the check of exactly what the case now holds"`
	Signed  bool      `json:"signed"`
}

type listOutput struct {
	Body struct {
		Cases []listed `json:"cases" nullable:"false"`
	}
}

func (s *server) list(ctx context.Context, in *listInput) (*listOutput, error) {
	cases, err := s.Desk.Recent(ctx, in.Limit)
	if err != nil {
		return nil, err
	}
	out := &listOutput{}
	out.Body.Cases = []listed{}
	for _, c := range cases {
		row := listed{Case: c.ID, Version: c.N, Changed: c.Changed}
		if k, ok := c.Current(); ok {
			v := s.checkOf(c, k)
			row.Check = &v
		}
		_, row.Signed = c.Signature()
		out.Body.Cases = append(out.Body.Cases, row)
	}
	return out, nil
}

type openInput struct {
	Once
	Body struct {
		Name  string `json:"name,omitempty" maxLength:"100" doc:"as the practice calls it: a number or initials"`
		Order *order `json:"order,omitempty"`
	}
}

type caseOutput struct {
	Location string `header:"Location" doc:"where the case is"`
	Body     caseState
}

func (s *server) open(ctx context.Context, in *openInput) (*caseOutput, error) {
	of := fmt.Sprintf("open %q %+v", in.Body.Name, in.Body.Order)
	if in.Body.Order != nil {
		of = fmt.Sprintf("open %q %+v", in.Body.Name, *in.Body.Order)
	}
	id, err := s.Desk.NewCase(s.under(ctx, in.Once, digest(of)), s.Actor(ctx), in.Body.Name, "")
	if err != nil {
		return nil, err
	}
	if in.Body.Order != nil {
		// WHY a key of its own: a program that was cut off between the two sends both again.
		key := Once{Key: in.Key}
		if key.Key != "" {
			key.Key += " order"
		}
		if err := s.Desk.SetOrder(s.under(ctx, key, digest(of)), s.Actor(ctx), id, in.Body.Order.put); err != nil {
			return nil, err
		}
	}
	return s.seen(ctx, id)
}

// digest names a text shortly.
func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:])
}

func (s *server) get(ctx context.Context, in *CaseAt) (*caseOutput, error) {
	if _, err := s.Desk.Case(ctx, in.Case); err != nil {
		return nil, err
	}
	if err := s.Desk.View(ctx, s.Actor(ctx), in.Case, "state"); err != nil {
		return nil, err
	}
	return s.seen(ctx, in.Case)
}

// seen tells where a case stands.
func (s *server) seen(ctx context.Context, id string) (*caseOutput, error) {
	c, err := s.Desk.Case(ctx, id)
	if err != nil {
		return nil, err
	}
	return &caseOutput{Location: Root + "/cases/" + id, Body: s.stateOf(c)}, nil
}

type orderInput struct {
	CaseAt
	Body order
}

func (s *server) setOrder(ctx context.Context, in *orderInput) (*caseOutput, error) {
	if err := s.Desk.SetOrder(ctx, s.Actor(ctx), in.Case, func(c *casefile.Case) error { return in.Body.put(c) }); err != nil {
		return nil, err
	}
	return s.seen(ctx, in.Case)
}
