package api

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"slices"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"selvage/finding"
	"selvage/internal/work"
)

// Bounds of one request with scans.
const (
	maxScanBytes = 2 << 30
	maxScanFiles = 50
)

// scans adds the operation that brings scans.
func (s *server) scans() {
	files := map[string]*huma.Schema{}
	for _, field := range append([]string{anyScan}, roleWords()...) {
		files[field] = &huma.Schema{Type: huma.TypeArray, Items: &huma.Schema{Type: huma.TypeString, Format: "binary"}}
	}
	handle(s, huma.Operation{
		OperationID: "add-scans", Method: http.MethodPost, Path: "/cases/{case}/scans", Tags: []string{"cases"},
		Summary: "Bring scans (STL, PLY or OBJ)",
		Description: "A file's field says what it shows; in the field scan it is told from the file's name, else from its shape. " +
			"A file that the case holds already is left alone. A newer file of a role that only one scan can have takes the place of the older one, which stays in the case, left out. " +
			"The case is then checked where its tooth is known.",
		Errors: []int{http.StatusNotFound, http.StatusConflict, http.StatusRequestEntityTooLarge, http.StatusUnsupportedMediaType},
	}, s.addScans)
	// WHY afterwards: a body that the library knows of it reads itself, whole.
	s.api.OpenAPI().Paths[Root+"/cases/{case}/scans"].Post.RequestBody = &huma.RequestBody{
		Required: true,
		Content:  map[string]*huma.MediaType{"multipart/form-data": {Schema: &huma.Schema{Type: huma.TypeObject, Properties: files}}},
	}
}

// anyScan is the field of a file of which it is not said what it shows.
const anyScan = "scan"

func roleWords() []string {
	var out []string
	for _, r := range finding.Roles() {
		if r != finding.RoleDesign { // which is no scan
			out = append(out, string(r))
		}
	}
	return out
}

// scansInput reads its files as they come, so that none lies on the disk unsealed.
type scansInput struct {
	CaseAt
	Once
	parts *multipart.Reader
}

// Resolve finds the files of a request.
func (in *scansInput) Resolve(ctx huma.Context) []error {
	r, w := humago.Unwrap(ctx)
	r.Body = http.MaxBytesReader(w, r.Body, maxScanBytes)
	var err error
	if in.parts, err = r.MultipartReader(); err != nil {
		return []error{&Problem{Status: http.StatusUnsupportedMediaType, Title: http.StatusText(http.StatusUnsupportedMediaType), Detail: "the files are sent as multipart/form-data"}}
	}
	return nil
}

type scansOutput struct {
	Body struct {
		Case  string `json:"case"`
		Added []scan `json:"scans" nullable:"false" doc:"the files of this request, as the case holds them"`
		Check string `json:"check,omitempty" doc:"id of the check that is made of the case with them; left out until the tooth is known"`
	}
}

func (s *server) addScans(ctx context.Context, in *scansInput) (*scansOutput, error) {
	if _, err := s.Desk.Case(ctx, in.Case); err != nil { // before anything is stored
		return nil, err
	}
	kept, of, err := s.keep(ctx, in.parts)
	if err != nil {
		return nil, err
	}
	slices.Sort(of) // the same files in another order are the same request
	out := &scansOutput{}
	out.Body.Case, out.Body.Added = in.Case, []scan{}
	if out.Body.Check, err = s.Desk.AddKept(s.under(ctx, in.Once, digest(strings.Join(append(of, "scans "+in.Case), " "))), s.Actor(ctx), in.Case, kept); err != nil {
		return nil, err
	}
	c, err := s.Desk.Case(ctx, in.Case)
	if err != nil {
		return nil, err
	}
	for _, sc := range s.stateOf(c).Scans {
		if slices.ContainsFunc(kept, func(k work.Scan) bool { return string(k.Hash) == sc.SHA256 }) {
			out.Body.Added = append(out.Body.Added, sc)
		}
	}
	return out, nil
}

// keep stores the files of a request one after another. of names each.
func (s *server) keep(ctx context.Context, parts *multipart.Reader) (kept []work.Scan, of []string, err error) {
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, broken(err)
		}
		field := p.FormName()
		switch {
		case field != anyScan && !slices.Contains(roleWords(), field):
			return nil, nil, refused("there is no field " + field)
		case p.FileName() == "":
			return nil, nil, refused("a part without a file's name")
		case len(kept) == maxScanFiles:
			return nil, nil, refused("too many files for one case")
		}
		in := work.Incoming{Name: p.FileName(), Data: p}
		if field != anyScan {
			in.Role = finding.Role(field)
		}
		sc, err := s.Desk.Keep(ctx, in)
		if err != nil {
			return nil, nil, broken(err)
		}
		if sc.Size == 0 {
			return nil, nil, refused(sc.Name + " is empty")
		}
		kept, of = append(kept, sc), append(of, field+" "+string(sc.Hash))
	}
	if len(kept) == 0 {
		return nil, nil, refused("no file was sent")
	}
	return kept, of, nil
}

// broken explains a request that ends too early or is too large.
func broken(err error) error {
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return refused("the request ends in the middle")
	}
	return err
}

func refused(what string) error {
	return &Problem{Status: http.StatusUnprocessableEntity, Title: http.StatusText(http.StatusUnprocessableEntity), Detail: what}
}
