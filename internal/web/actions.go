package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/work"
	"selvage/limit"
	"selvage/tooth"
)

// maxUpload bounds what one request may bring.
const maxUpload = 2 << 30

// newCase opens a case, with the files that came along.
func (s *Server) newCase(w http.ResponseWriter, r *http.Request) error {
	files, done, err := uploads(w, r)
	defer done()
	if err != nil {
		return err
	}
	id, err := s.desk.NewCase(r.Context(), actor(r), strings.TrimSpace(r.FormValue("name")), r.Header.Get("Idempotency-Key"))
	if err != nil {
		return err
	}
	if len(files) > 0 {
		if err := s.desk.AddScans(r.Context(), actor(r), id, files); err != nil {
			return err
		}
	}
	return back(w, r, join("case", id))
}

func (s *Server) addScans(w http.ResponseWriter, r *http.Request) error {
	files, done, err := uploads(w, r)
	defer done()
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return &work.Problem{What: wordsFor(r).T("fail.nofile"), Try: wordsFor(r).T("fail.nofile.try")}
	}
	id := r.PathValue("case")
	if err := s.desk.AddScans(r.Context(), actor(r), id, files); err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

// uploads opens the files of a form. done closes them and removes what was spooled.
func uploads(w http.ResponseWriter, r *http.Request) (files []work.Incoming, done func(), err error) {
	done = func() {}
	r.Body = http.MaxBytesReader(w, r.Body, maxUpload)
	if ct := r.Header.Get("Content-Type"); !strings.HasPrefix(ct, "multipart/form-data") {
		return nil, done, r.ParseForm()
	}
	if err := r.ParseMultipartForm(32 << 20); err != nil {
		return nil, done, err
	}
	var closers []func() error
	done = func() {
		for _, c := range closers {
			_ = c() // only read from
		}
		_ = r.MultipartForm.RemoveAll()
	}
	for _, h := range r.MultipartForm.File["scans"] {
		f, err := h.Open()
		if err != nil {
			return nil, done, err
		}
		closers = append(closers, f.Close)
		if h.Size > 0 {
			files = append(files, work.Incoming{Name: h.Filename, Data: f})
		}
	}
	return files, done, nil
}

// setOrder changes what the form names: tooth, material, finish line, cement.
func (s *Server) setOrder(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	id := r.PathValue("case")
	err := s.desk.SetOrder(r.Context(), actor(r), id, func(c *casefile.Case) error { return order(c, r) })
	if err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

func order(c *casefile.Case, r *http.Request) error {
	words := wordsFor(r)
	if v := r.PostFormValue("tooth"); v != "" {
		n, err := tooth.Parse(tooth.FDI, v)
		if err != nil {
			return &work.Problem{What: words.Said(err.Error()), Try: words.T("tooth.which")}
		}
		if len(c.Restorations) == 0 {
			c.Restorations = []casefile.Restoration{{Kind: casefile.Crown}}
		}
		c.Restorations[0].Tooth = casefile.CodeOf(n)
	}
	if len(c.Restorations) == 0 {
		return &work.Problem{What: words.T("tooth.first"), Try: words.T("tooth.which")}
	}
	rest := &c.Restorations[0]
	if r.PostForm.Has("material") {
		m := limit.Material(r.PostFormValue("material"))
		if m != "" && !slices.Contains(limit.Materials(), m) {
			return &work.Problem{What: words.T("fail.choice")}
		}
		rest.Material = m
	}
	if r.PostForm.Has("finish_line") {
		f := limit.FinishLine(r.PostFormValue("finish_line"))
		if f != "" && !slices.Contains(limit.FinishLines(), f) {
			return &work.Problem{What: words.T("fail.choice")}
		}
		rest.FinishLine = f
	}
	if r.PostForm.Has("cement") {
		m := limit.Cement(r.PostFormValue("cement"))
		if m != "" && !slices.Contains(limit.Cements(), m) {
			return &work.Problem{What: words.T("fail.choice")}
		}
		rest.Cement = m
	}
	return nil
}

func (s *Server) askCheck(w http.ResponseWriter, r *http.Request) error {
	stage := finding.Stage(r.PostFormValue("stage"))
	if stage != finding.Preparation {
		stage = finding.Final
	}
	id := r.PathValue("case")
	if _, err := s.desk.Check(r.Context(), actor(r), id, stage); err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

func (s *Server) cancel(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	if err := s.desk.Cancel(r.Context(), actor(r), id, ""); err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

// editScan says what a scan shows, leaves it out, or takes it back.
func (s *Server) editScan(w http.ResponseWriter, r *http.Request) error {
	id, scan := r.PathValue("case"), r.PathValue("scan")
	var err error
	switch role := finding.Role(r.PostFormValue("role")); {
	case r.PostFormValue("do") == "leave-out":
		err = s.desk.LeaveOut(r.Context(), actor(r), id, scan)
	case r.PostFormValue("do") == "take-back":
		err = s.desk.TakeBack(r.Context(), actor(r), id, scan)
	case role == "" || slices.Contains(roles, role):
		err = s.desk.SetRole(r.Context(), actor(r), id, scan, role)
	default:
		err = &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	if err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

// roles are what a scan may be said to show, in the order in which they are offered.
var roles = []finding.Role{
	finding.RoleWorking, finding.RoleOpposing, finding.RoleBite, finding.RolePreparation, finding.RoleBefore,
}

func (s *Server) decide(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	if err := s.desk.Decide(r.Context(), actor(r), id, r.PostFormValue("check"), work.Choice(r.PostFormValue("choice")), r.PostFormValue("reason")); err != nil {
		return err
	}
	return back(w, r, join("case", id, "dentist"))
}

func (s *Server) alarm(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	n, err := strconv.Atoi(r.PostFormValue("finding"))
	if err != nil {
		return &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	if err := s.desk.JudgeAlarm(r.Context(), actor(r), id, r.PostFormValue("check"), n, r.PostFormValue("right") == "yes"); err != nil {
		return err
	}
	return back(w, r, join("case", id, "dentist"))
}
