package web

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/people"
	"selvage/internal/prescription"
	"selvage/internal/sheet"
	"selvage/internal/turnaround"
	"selvage/internal/work"
)

// planView is the page of the prescription.
type planView struct {
	frame
	Case    work.Case
	Tooth   string
	Plan    work.Plan
	Edit    string // the group that is being changed; empty: none
	Groups  []planGroup
	Missing []lackRow
	Clashes []string
	Dates   []dateRow
	Soonest string // when it can be back, and seated
	Fits    []fitRow
	Room    string
	Signed  *signature
	Version int
	Current bool // what was signed is what stands here
	Reasons []string
	Photos  []photoRow
	Shows   []choice
}

// photoRow is one photograph.
type photoRow struct{ ID, Name, Size, Doubts string }

// planGroup is one part of the sheet.
type planGroup struct {
	Key   string
	Rows  []planRow
	Empty bool // nothing is said in it yet
}

// planRow is one field.
type planRow struct {
	Key, Kind, Value, Shown string
	Filled                  bool // by a profile, and not entered here
	Choices                 []choice
}

// lackRow is something missing.
type lackRow struct {
	Key, Name, By, Source, Group string
	Said                         string // what was said about it
	How                          work.How
}

// dateRow is a day that cannot be kept.
type dateRow struct{ Why, Text, Day, Nearest, Field string }

type fitRow struct{ Name, Need, Fits string }

// anyway are why something may be sent without, or a day be kept: keys of the catalogue.
var anyway = []string{"anyway.telephone", "anyway.file", "anyway.dentist"}

func (s *Server) planRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /case/{case}/plan", s.page(s.showPlan))
	mux.HandleFunc("POST /case/{case}/plan", s.page(s.setPlan))
	mux.HandleFunc("POST /case/{case}/plan/mark", s.page(s.markLack))
	mux.HandleFunc("POST /case/{case}/plan/keep", s.page(s.keepDate))
	mux.HandleFunc("POST /case/{case}/photos", s.page(s.addPhoto))
	mux.HandleFunc("POST /case/{case}/photo/{photo}", s.page(s.dropPhoto))
	mux.HandleFunc("GET /case/{case}/photo/{photo}", s.page(s.showPhoto))
	mux.HandleFunc("GET /case/{case}/plan/sign", s.page(s.showPrescribe))
	mux.HandleFunc("POST /case/{case}/plan/sign", s.page(s.prescribe))
}

func (s *Server) showPlan(w http.ResponseWriter, r *http.Request) error {
	v, err := s.planView(r)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), v.Case.ID, "plan"); err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "plan", v)
}

func (s *Server) planView(r *http.Request) (planView, error) {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return planView{}, err
	}
	v := planView{frame: s.frame(r), Case: c, Edit: r.URL.Query().Get("edit"), Reasons: anyway}
	v.Title, v.Tooth = v.W.T("plan.title"), toothWords(v.W, c)
	if v.Plan, err = s.desk.Plan(r.Context(), c, v.Me.Name, s.now().Local()); err != nil {
		return v, err
	}
	book, err := s.desk.Profiles(r.Context())
	if err != nil {
		return v, err
	}
	v.groups(book)
	by, err := s.names(r)
	if err != nil {
		return v, err
	}
	v.missing(by)
	for _, k := range v.Plan.Clashes {
		v.Clashes = append(v.Clashes, v.W.T("clash."+string(k.Why)))
	}
	v.dates()
	v.fits()
	for _, q := range c.Photos {
		row := photoRow{ID: q.ID, Name: v.W.T("photo." + string(q.Shows)), Size: fmt.Sprintf("%d × %d", q.W, q.H)}
		for _, d := range q.Doubts {
			row.Doubts += v.W.T("photo."+string(d)) + " "
		}
		v.Photos = append(v.Photos, row)
	}
	for _, x := range work.AllShows() {
		v.Shows = append(v.Shows, choice{Value: string(x), Name: v.W.T("photo." + string(x))})
	}
	if sig, current, ok := c.Prescribed(); ok {
		v.Signed = &signature{By: by(sig.By), At: sig.At.Local().Format("2006-01-02 15:04")}
		v.Version, v.Current = sig.N, current
	}
	return v, nil
}

// groups fills in the sheet.
func (v *planView) groups(book work.Profiles) {
	raw := v.Case.Order
	raw.Restorations = slices.Clone(raw.Restorations)
	for _, key := range sheet.Groups() {
		g := planGroup{Key: key, Empty: true}
		for _, f := range sheet.Fields() {
			if f.Group != key {
				continue
			}
			row := planRow{Key: f.Name, Kind: string(f.Kind), Value: f.Get(&v.Plan.Order)}
			row.Filled = row.Value != "" && f.Get(&raw) == ""
			row.Shown = shownField(v.W, f, row.Value)
			g.Empty = g.Empty && row.Shown == ""
			row.Choices = fieldChoices(v.W, f, book, row.Value)
			g.Rows = append(g.Rows, row)
		}
		v.Groups = append(v.Groups, g)
	}
}

// shownField is what a field says, in words.
func shownField(w Words, f sheet.Field, value string) string {
	switch {
	case value == "":
		return ""
	case f.Name == "rule":
		return ruleName(w, value)
	case f.Words == "":
		return value
	case f.Kind == sheet.Many:
		var out []string
		for _, one := range strings.Fields(value) {
			out = append(out, w.T(f.Words+one))
		}
		return strings.Join(out, ", ")
	case len(f.Options) > 0 && !slices.Contains(f.Options, value):
		return value // somebody's own word
	}
	return w.T(f.Words + value)
}

func ruleName(w Words, key string) string {
	r, ok := prescription.RuleOf(key)
	switch {
	case !ok:
		return key
	case key == "us" || key == "eu":
		return w.T("rule." + key)
	}
	return r.Place
}

// fieldChoices are what may be chosen, nothing first.
func fieldChoices(w Words, f sheet.Field, book work.Profiles, value string) []choice {
	var out []choice
	if f.Kind == sheet.Pick {
		out = append(out, choice{Name: w.T("unknown"), Chosen: value == ""})
	}
	known := slices.Clone(f.Options)
	if f.Name == string(prescription.LaboratoryName) {
		for _, l := range book.Offered() {
			known = append(known, l.Name)
		}
	}
	if value != "" && f.Kind == sheet.Pick && !slices.Contains(known, value) {
		known = append(known, value)
	}
	for _, o := range known {
		chosen := o == value || f.Kind == sheet.Many && slices.Contains(strings.Fields(value), o)
		out = append(out, choice{Value: o, Name: shownField(w, f, o), Chosen: chosen})
	}
	return out
}

func (v *planView) missing(by func(string) string) {
	for _, l := range v.Plan.Missing {
		row := lackRow{Key: l.Key(), Name: v.W.T("field." + string(l.Field)), By: v.W.T("asker." + string(l.By)), Source: l.Source, Group: groupOf(l.Field)}
		if m, said := v.Case.Marked(l); said {
			row.How = m.How
			row.Said = v.W.T("lack."+string(m.How)) + " · " + by(m.By)
			if m.Reason != "" {
				row.Said += ": " + m.Reason
			}
		}
		v.Missing = append(v.Missing, row)
	}
}

// alertsAt names the alerts of a case that matter at a step.
func alertsAt(w Words, step prescription.Step, c work.Case) string {
	var out []string
	for _, a := range prescription.AlertsAt(step, c.Order.Alerts) {
		out = append(out, w.T("alert."+string(a)))
	}
	return strings.Join(out, ", ")
}

// groupOf returns where a field is entered.
func groupOf(f prescription.Field) string {
	switch f {
	case prescription.Disinfected:
		return "goods"
	case prescription.CaseNumber:
		return "people"
	}
	of, _ := sheet.Of(string(f))
	return of.Group
}

func (v *planView) dates() {
	if v.Plan.Foreseen {
		f := v.Plan.Forecast
		v.Soonest = v.W.T("plan.soonest", f.Due.String(), f.Seat.String())
		if f.Assumed {
			v.Soonest += " " + v.W.T("plan.assumed")
		}
		if v.Plan.Learned && v.Plan.Late > 0 {
			v.Soonest += " " + v.W.T("plan.late", strconv.Itoa(v.Plan.Late))
		}
	}
	for _, k := range v.Plan.Dates {
		row := dateRow{Why: string(k.Why), Day: k.Wanted.String(), Nearest: k.Nearest.String(), Field: "dates.seat"}
		if k.Why == turnaround.DueTooEarly || k.Why == turnaround.DueClosed {
			row.Field = "dates.due"
		}
		row.Text = v.W.T("date."+row.Why, row.Day)
		v.Dates = append(v.Dates, row)
	}
}

func (v *planView) fits() {
	if m := v.Plan.RoomMM; m.Measured() {
		v.Room = fmt.Sprintf("%.1f ± %.1f mm", m.Value, m.U)
	}
	for _, f := range v.Plan.Fits {
		if v.Room != "" {
			v.Fits = append(v.Fits, fitRow{Name: v.W.T("material." + string(f.Material)), Need: fmt.Sprintf("%.1f mm", f.NeedMM), Fits: v.W.T("fits." + string(f.Fits))})
		}
	}
}

// setPlan changes the fields of one group, all of which its form sends.
func (s *Server) setPlan(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id, words := r.PathValue("case"), wordsFor(r)
	err := s.desk.SetOrder(r.Context(), actor(r), id, func(c *casefile.Case) error {
		if len(c.Restorations) == 0 || !c.Restorations[0].Tooth.Number().Valid() {
			return &work.Problem{What: words.T("tooth.first"), Try: words.T("tooth.which")}
		}
		for _, f := range sheet.Fields() {
			if !r.PostForm.Has(f.Name) {
				continue
			}
			value := strings.TrimSpace(strings.Join(r.PostForm[f.Name], " "))
			if !f.Set(c, value) {
				return &work.Problem{What: words.T("plan.wrong", words.T("field."+f.Name), value), Try: words.T("plan.wrong.try")}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return back(w, r, join("case", id, "plan"))
}

// maxPhoto bounds a photograph.
const maxPhoto = 40 << 20

func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, maxPhoto)
	f, _, err := r.FormFile("photo")
	if err != nil {
		return &work.Problem{What: wordsFor(r).T("fail.nofile"), Try: wordsFor(r).T("photo.try")}
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }()
	data, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	id := r.PathValue("case")
	if err := s.desk.AddPhoto(r.Context(), actor(r), id, work.Shows(r.FormValue("shows")), data); err != nil {
		return err
	}
	return back(w, r, join("case", id, "plan"))
}

func (s *Server) dropPhoto(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	if err := s.desk.DropPhoto(r.Context(), actor(r), id, r.PathValue("photo")); err != nil {
		return err
	}
	return back(w, r, join("case", id, "plan"))
}

func (s *Server) showPhoto(w http.ResponseWriter, r *http.Request) error {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	i := slices.IndexFunc(c.Photos, func(p work.Photo) bool { return p.ID == r.PathValue("photo") })
	if i < 0 {
		return errNotThere
	}
	data, err := s.desk.Figure(r.Context(), c.Photos[i].Hash)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", c.Photos[i].MIME)
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

func (s *Server) markLack(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	m := work.Mark{Lack: r.PostFormValue("lack"), How: work.How(r.PostFormValue("how")), Reason: r.PostFormValue("reason")}
	if err := s.desk.Mark(r.Context(), actor(r), id, m); err != nil {
		return err
	}
	return back(w, r, join("case", id, "plan"))
}

func (s *Server) keepDate(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	k := work.Kept{Why: turnaround.Why(r.PostFormValue("why")), Day: r.PostFormValue("day"), Reason: r.PostFormValue("reason")}
	if err := s.desk.KeepDate(r.Context(), actor(r), id, k); err != nil {
		return err
	}
	return back(w, r, join("case", id, "plan"))
}

// prescribeView is the pad on which a prescription is signed: it says what is signed.
func (s *Server) prescribeView(r *http.Request) (padView, error) {
	p, err := s.planView(r)
	if err != nil {
		return padView{}, err
	}
	me := visitorOf(r)
	v := padView{frame: p.frame, Action: join("case", p.Case.ID, "plan", "sign"), To: join("case", p.Case.ID, "plan"), Away: me.where.Place == people.Away}
	v.Title, v.Head, v.Button, v.Check = v.W.T("plan.sign"), v.W.T("plan.sign"), v.W.T("plan.sign"), p.Plan.Hash
	v.Lead = v.W.T("sign.number", me.person.Name)
	if v.Away {
		v.Lead = v.W.T("sign.password", me.person.Name)
	}
	v.Lines = append(v.Lines, or(p.Case.Name, v.W.T("unnamed"))+" · "+p.Tooth)
	for _, g := range p.Groups {
		var said []string
		for _, row := range g.Rows {
			if row.Shown != "" {
				said = append(said, v.W.T("field."+row.Key)+" "+row.Shown)
			}
		}
		if len(said) > 0 {
			v.Lines = append(v.Lines, strings.Join(said, " · "))
		}
	}
	if named := p.Plan.Order.Prescriber.Name; named != "" && !strings.EqualFold(named, me.person.Name) {
		v.Lines = append(v.Lines, v.W.T("plan.signer", named, me.person.Name))
	}
	if p.Plan.Open > 0 {
		v.Lines = append(v.Lines, v.W.T("plan.open", strconv.Itoa(p.Plan.Open)))
	}
	return v, nil
}

func (s *Server) showPrescribe(w http.ResponseWriter, r *http.Request) error {
	v, err := s.prescribeView(r)
	if err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "pad", v)
}

func (s *Server) prescribe(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	v, err := s.prescribeView(r)
	if err != nil {
		return err
	}
	if r.PostFormValue("check") != v.Check {
		return &work.Problem{What: v.W.T("plan.changed"), Try: v.W.T("plan.changed.try")}
	}
	me := visitorOf(r)
	done, err := s.asked(w, r, &v, func(proof string) error {
		return s.book.Confirm(r.Context(), me.where, me.person.ID, proof)
	})
	if !done || err != nil {
		return err
	}
	if err := s.desk.Prescribe(r.Context(), me.person.ID, me.person.Name, r.PathValue("case"), v.Check, s.now().Local()); err != nil {
		return err
	}
	return back(w, r, v.To)
}
