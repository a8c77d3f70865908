package api

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"selvage/finding"
	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/work"
)

// CheckAt names a check.
type CheckAt struct {
	CaseAt
	Check string `path:"check" maxLength:"64" doc:"id of the check"`
}

// checks adds the operations on checks.
func (s *server) checks() {
	const at = "/cases/{case}/checks/{check}"
	handle(s, huma.Operation{
		OperationID: "ask-check", Method: http.MethodPost, Path: "/cases/{case}/checks", Tags: []string{"checks"}, DefaultStatus: http.StatusAccepted,
		Summary: "Ask for a check", Description: "Also where the last one is still current. One that is being made of the same is not made twice.",
		Errors: []int{http.StatusNotFound, http.StatusConflict},
	}, s.ask)
	handle(s, huma.Operation{
		OperationID: "get-check", Method: http.MethodGet, Path: at, Tags: []string{"checks"},
		Summary: "Where a check stands", Errors: []int{http.StatusNotFound},
	}, s.getCheck)
	handle(s, huma.Operation{
		OperationID: "cancel-check", Method: http.MethodPost, Path: at + "/cancel", Tags: []string{"checks"}, DefaultStatus: http.StatusNoContent,
		Summary: "Stop a check", Description: "One that has ended is left as it is.", Errors: []int{http.StatusNotFound},
	}, s.cancel)
	handle(s, huma.Operation{
		OperationID: "get-report", Method: http.MethodGet, Path: at + "/report", Tags: []string{"checks"},
		Summary: "The report of a check that is done", Errors: []int{http.StatusNotFound},
		Responses: map[string]*huma.Response{"200": {Description: "the report, byte for byte the one that the command line writes", Content: map[string]*huma.MediaType{
			"application/json": {Schema: &huma.Schema{Type: huma.TypeObject, Description: "see " + ReportSchema, AdditionalProperties: true}},
		}}},
	}, s.report)
	handle(s, huma.Operation{
		OperationID: "list-pictures", Method: http.MethodGet, Path: at + "/pictures", Tags: []string{"checks"},
		Summary: "Which pictures a check that is done has", Errors: []int{http.StatusNotFound},
	}, s.pictures)
	handle(s, huma.Operation{
		OperationID: "get-picture", Method: http.MethodGet, Path: at + "/pictures/{picture}", Tags: []string{"checks"},
		Summary: "A picture", Errors: []int{http.StatusNotFound},
		Responses: map[string]*huma.Response{"200": {Description: "the picture", Content: map[string]*huma.MediaType{
			"image/png": {Schema: binary()}, "image/svg+xml": {Schema: binary()},
		}}},
	}, s.picture)
}

// ReportSchema is where the schema of a report is served.
const ReportSchema = "/api/report.schema.json"

func binary() *huma.Schema { return &huma.Schema{Type: huma.TypeString, Format: "binary"} }

type askInput struct {
	CaseAt
	Once
	Body struct {
		Stage string `json:"stage,omitempty" enum:"preparation,final" default:"final" doc:"preparation: before the gum is opened"`
	}
}

type askOutput struct {
	Location string `header:"Location" doc:"where the check is"`
	Body     check
}

func (s *server) ask(ctx context.Context, in *askInput) (*askOutput, error) {
	stage := finding.Stage(in.Body.Stage)
	id, err := s.Desk.Check(s.under(ctx, in.Once, digest("check "+in.Case+" "+in.Body.Stage)), s.Actor(ctx), in.Case, stage)
	if err != nil {
		return nil, err
	}
	c, k, err := s.find(ctx, in.Case, id)
	if err != nil {
		return nil, err
	}
	return &askOutput{Location: Root + "/cases/" + in.Case + "/checks/" + id, Body: s.checkOf(c, k)}, nil
}

// find returns a check of a case.
func (s *server) find(ctx context.Context, id, checkID string) (work.Case, work.Check, error) {
	c, err := s.Desk.Case(ctx, id)
	if err != nil {
		return c, work.Check{}, err
	}
	i := slices.IndexFunc(c.Checks, func(k work.Check) bool { return k.ID == checkID })
	if i < 0 {
		return c, work.Check{}, store.ErrNoBlob
	}
	return c, c.Checks[i], nil
}

// look finds a check and notes that it was looked at.
func (s *server) look(ctx context.Context, at CheckAt, what string) (work.Case, work.Check, error) {
	c, k, err := s.find(ctx, at.Case, at.Check)
	if err == nil {
		err = s.Desk.View(ctx, s.Actor(ctx), c.ID, what)
	}
	return c, k, err
}

type checkOutput struct{ Body check }

func (s *server) getCheck(ctx context.Context, in *CheckAt) (*checkOutput, error) {
	c, k, err := s.look(ctx, *in, "check")
	if err != nil {
		return nil, err
	}
	return &checkOutput{Body: s.checkOf(c, k)}, nil
}

func (s *server) cancel(ctx context.Context, in *CheckAt) (*struct{}, error) {
	_, k, err := s.find(ctx, in.Case, in.Check)
	if err != nil || k.State != work.Waiting {
		return nil, err
	}
	return nil, s.Desk.Cancel(ctx, s.Actor(ctx), in.Case, in.Check)
}

// fileOutput is an answer that is no JSON of ours.
type fileOutput struct {
	Type string `header:"Content-Type"`
	Body []byte
}

// result looks at a check that is done, and where pictures are wanted, drawn.
func (s *server) result(ctx context.Context, at CheckAt, what string) (work.Result, []byte, error) {
	_, k, err := s.look(ctx, at, what)
	if err != nil {
		return work.Result{}, nil, err
	}
	if k.State != work.Done {
		return work.Result{}, nil, store.ErrNoBlob
	}
	if strings.HasPrefix(what, "picture") {
		if k, err = s.Desk.WhenDrawn(ctx, at.Case, k); err != nil {
			return work.Result{}, nil, err
		}
	}
	res, rep, err := s.Desk.Result(ctx, k)
	if err != nil {
		return res, nil, err
	}
	data, err := rep.Encode()
	return res, data, err
}

func (s *server) report(ctx context.Context, in *CheckAt) (*fileOutput, error) {
	_, data, err := s.result(ctx, *in, "report")
	if err != nil {
		return nil, err
	}
	return &fileOutput{Type: "application/json", Body: data}, nil
}

// picture describes one picture.
type pictureState struct {
	Picture string `json:"picture" doc:"its name"`
	Type    string `json:"type" example:"image/png"`
	Width   int    `json:"width" doc:"pixels"`
	Height  int    `json:"height" doc:"pixels"`
	Text    string `json:"text" doc:"what it shows"`
}

type picturesOutput struct {
	Body struct {
		Pictures []pictureState `json:"pictures" nullable:"false"`
	}
}

func (s *server) pictures(ctx context.Context, in *CheckAt) (*picturesOutput, error) {
	res, _, err := s.result(ctx, *in, "pictures")
	if err != nil {
		return nil, err
	}
	out := &picturesOutput{}
	out.Body.Pictures = []pictureState{}
	for _, f := range res.Figures {
		out.Body.Pictures = append(out.Body.Pictures, pictureState{Picture: f.Slot, Type: f.MIME, Width: f.W, Height: f.H, Text: f.Alt})
	}
	return out, nil
}

type pictureInput struct {
	CheckAt
	Picture string `path:"picture" maxLength:"100" doc:"name of the picture"`
}

func (s *server) picture(ctx context.Context, in *pictureInput) (*fileOutput, error) {
	res, _, err := s.result(ctx, in.CheckAt, "picture")
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(res.Figures, func(f work.FigureRef) bool { return f.Slot == in.Picture })
	if i < 0 {
		return nil, store.ErrNoBlob
	}
	data, err := s.Desk.Figure(ctx, res.Figures[i].Hash)
	if err != nil {
		return nil, err
	}
	return &fileOutput{Type: res.Figures[i].MIME, Body: data}, nil
}

// mayOf lists what somebody may do here.
func mayOf(p people.Person) []string {
	out := []string{}
	for _, a := range []people.Action{people.See, people.Check} {
		if p.May(a) || p.ID == "" && people.MayAnyone(a) {
			out = append(out, string(a))
		}
	}
	return out
}
