package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/drill"
	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/web/api"
)

// door adds the pages by which people come in, and those about them.
func (s *Server) door(mux *http.ServeMux) {
	mux.HandleFunc("GET /who", s.page(s.showWho))
	mux.HandleFunc("POST /who", s.page(s.enterAway))
	mux.HandleFunc("GET /who/{person}", s.page(s.showPad))
	mux.HandleFunc("POST /who/{person}", s.page(s.enter))
	mux.HandleFunc("POST /lock", s.page(s.lock))
	mux.HandleFunc("POST /awake", s.page(s.awake))
	mux.HandleFunc("GET /first", s.page(s.showFirst))
	mux.HandleFunc("POST /first", s.page(s.makeFirst))
	mux.HandleFunc("GET /envelope", s.page(s.showEnvelope))
	mux.HandleFunc("POST /envelope", s.page(s.openEnvelope))
	mux.HandleFunc("GET /me", s.page(s.showMe))
	mux.HandleFunc("POST /me", s.page(s.setMine))
	mux.HandleFunc("POST /me/keys", s.page(s.setKeys))
	mux.HandleFunc("GET /people", s.page(s.showStaff))
	mux.HandleFunc("POST /people", s.page(s.addPerson))
	mux.HandleFunc("GET /people/{person}", s.page(s.showPerson))
	mux.HandleFunc("POST /people/{person}", s.page(s.changePerson))
	mux.HandleFunc("POST /people/{person}/number", s.page(s.resetNumber))
	mux.HandleFunc("POST /people/{person}/leave", s.page(s.leave))
	mux.HandleFunc("GET /settings", s.page(s.showSettings))
	mux.HandleFunc("POST /settings", s.page(s.setSettings))
	mux.HandleFunc("GET /settings/limits", s.page(s.showLimits))
	mux.HandleFunc("GET /settings/limits/{limit}", s.page(s.showLimit))
	mux.HandleFunc("GET /settings/old", s.page(s.showOld))
	mux.HandleFunc("POST /settings/old/{case}", s.page(s.keepOld))
	mux.HandleFunc("POST /settings/watch", s.page(s.setWatch))
	mux.HandleFunc("POST /settings/limits/{limit}", s.page(s.changeLimit))
	mux.HandleFunc("POST /settings/times/{method}", s.page(s.changeTimes))
	mux.HandleFunc("POST /settings/programs", s.page(s.addProgram))
	mux.HandleFunc("POST /settings/programs/{program}/end", s.page(s.endProgram))
}

// formView is a page with a form about people.
type formView struct {
	frame
	To     string
	Name   string
	Roles  []choice
	Error  string
	Code   string // for the envelope, shown once
	Person people.Person
	People []staffRow
	Idle   []choice
	Rows   []historyRow
	Keys   []choice // the usual key, what it does, and where it is laid
	Away   bool
	Renew  bool
}

// staffRow is one person in the list.
type staffRow struct {
	ID, Name, Roles string
	Left            bool
}

func (s *Server) formView(r *http.Request, title string) formView {
	v := formView{frame: s.frame(r), To: onward(r), Name: r.PostFormValue("name")}
	v.Title = v.W.T(title)
	v.Away = visitorOf(r).where.Place == people.Away
	return v
}

// roles fills in what a person may be; chosen are ticked.
func (v *formView) roles(chosen []people.Role) {
	for _, role := range people.Roles() {
		v.Roles = append(v.Roles, choice{
			Value: string(role), Name: v.W.T("staff." + string(role)), More: v.W.T("staff." + string(role) + ".may"),
			Chosen: slices.Contains(chosen, role),
		})
	}
}

// rolesOf reads the roles of a form.
func rolesOf(r *http.Request) []people.Role {
	var out []people.Role
	for _, v := range r.PostForm["role"] {
		out = append(out, people.Role(v))
	}
	return out
}

// twice reads a new proof, which must have been entered twice the same.
func twice(r *http.Request) (string, error) {
	if r.PostFormValue("proof") != r.PostFormValue("again") {
		return "", &people.Problem{Key: "twice"}
	}
	return r.PostFormValue("proof"), nil
}

// showFirst asks who the first person is, on this computer, while nobody is known.
func (s *Server) showFirst(w http.ResponseWriter, r *http.Request) error {
	if err := s.mayBeFirst(r); err != nil {
		return err
	}
	v := s.formView(r, "first.make")
	v.roles([]people.Role{people.Dentist, people.Manager})
	return s.render(w, http.StatusOK, "first", v)
}

func (s *Server) mayBeFirst(r *http.Request) error {
	switch v := visitorOf(r); {
	case v.where.Place != people.Chair:
		return &refusal{status: http.StatusForbidden, key: "refused.away", try: "refused.away.try"}
	case !v.fresh:
		return &refusal{status: http.StatusConflict, key: "people.first.late", link: "/who", say: "who.in"}
	}
	return nil
}

// makeFirst makes the first person and signs them in.
func (s *Server) makeFirst(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	if err := s.mayBeFirst(r); err != nil {
		return err
	}
	v := s.formView(r, "first.make")
	v.roles(rolesOf(r))
	number, err := twice(r)
	var p people.Person
	if err == nil {
		p, v.Code, err = s.book.First(r.Context(), v.Name, rolesOf(r), number)
	}
	if say, status := wrong(v.W, err, "who.wrong"); say != "" {
		v.Error = say
		return s.render(w, status, "first", v)
	}
	if err != nil {
		return err
	}
	if err := s.open(r, p, false); err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "code", v)
}

// showEnvelope lets a manager back in with the code that was sealed in an envelope.
func (s *Server) showEnvelope(w http.ResponseWriter, r *http.Request) error {
	v, err := s.envelope(r)
	if err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "envelope", v)
}

func (s *Server) envelope(r *http.Request) (formView, error) {
	v := s.formView(r, "envelope.title")
	all, err := s.book.All(r.Context())
	if err != nil {
		return v, err
	}
	if v.Away || len(all) == 0 {
		return v, errNotThere
	}
	for _, p := range all {
		if p.May(people.Staff) {
			v.People = append(v.People, staffRow{ID: p.ID, Name: p.Name})
		}
	}
	return v, nil
}

func (s *Server) openEnvelope(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	v, err := s.envelope(r)
	if err != nil {
		return err
	}
	number, err := twice(r)
	if err == nil {
		v.Code, err = s.book.Reopen(r.Context(), visitorOf(r).where, r.PostFormValue("code"), r.PostFormValue("person"), number)
	}
	if say, status := wrong(v.W, err, "envelope.wrong"); say != "" {
		v.Error = say
		return s.render(w, status, "envelope", v)
	}
	if err != nil {
		return err
	}
	v.To = "/who"
	return s.render(w, http.StatusOK, "code", v)
}

// showMe lets a person change what proves who they are.
func (s *Server) showMe(w http.ResponseWriter, r *http.Request) error {
	return s.me(w, r, http.StatusOK, "")
}

func (s *Server) me(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	v := s.formView(r, "me.title")
	me := visitorOf(r)
	v.Person, v.Renew, v.Error = me.person, me.renew, problem
	for _, usual := range people.Keys() {
		key, laid := me.person.Keys[usual]
		if !laid {
			key = usual
		}
		v.Keys = append(v.Keys, choice{Value: usual, Name: v.W.T("key." + usual), More: key})
	}
	return s.render(w, status, "me", v)
}

// setKeys lays what the page does on other keys, for who is signed in.
func (s *Server) setKeys(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	laid := map[string]string{}
	for _, usual := range people.Keys() {
		if r.PostForm.Has("key." + usual) {
			laid[usual] = r.PostFormValue("key." + usual)
		}
	}
	err := s.book.SetKeys(r.Context(), visitorOf(r).person.ID, laid)
	if say, status := wrong(wordsFor(r), err, "me.wrong"); say != "" {
		return s.me(w, r, status, say)
	}
	if err != nil {
		return err
	}
	return back(w, r, "/me")
}

func (s *Server) setMine(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	me := visitorOf(r)
	kind := people.Number
	if me.where.Place == people.Away || r.PostFormValue("kind") == string(people.Password) {
		kind = people.Password
	}
	proof, err := twice(r)
	if err == nil && !me.renew {
		err = s.book.Confirm(r.Context(), me.where, me.person.ID, r.PostFormValue("old"))
	}
	if err == nil {
		err = s.book.SetProof(r.Context(), me.person.ID, me.person.ID, kind, proof)
	}
	if say, status := wrong(wordsFor(r), err, "me.wrong"); say != "" {
		return s.me(w, r, status, say)
	}
	if err != nil {
		return err
	}
	renew := me.renew && kind != me.where.Place.Kind()
	if err := s.open(r, me.person, renew); err != nil {
		return err
	}
	return back(w, r, onward(r))
}

// happenedShown is how much of what happened in the practice the page about people shows.
const happenedShown = 60

// showStaff lists who works here.
func (s *Server) showStaff(w http.ResponseWriter, r *http.Request) error {
	return s.staff(w, r, http.StatusOK, "")
}

func (s *Server) staff(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	v := s.formView(r, "staff.title")
	v.Error = problem
	v.roles(rolesOf(r))
	all, err := s.book.All(r.Context())
	if err != nil {
		return err
	}
	settings, err := s.book.Settings(r.Context())
	if err != nil {
		return err
	}
	for _, p := range all {
		v.People = append(v.People, staffRow{ID: p.ID, Name: p.Name, Roles: roleWords(v.W, p), Left: p.Left})
	}
	for _, m := range people.IdleChoices() {
		v.Idle = append(v.Idle, choice{Value: strconv.Itoa(m), Name: v.W.T("minutes", strconv.Itoa(m)), Chosen: m == settings.Idle})
	}
	events, err := s.book.Happened(r.Context(), happenedShown, func(e store.Event) bool { return !drill.Private(e) }) // how somebody practises is theirs
	if err != nil {
		return err
	}
	by, err := s.names(r)
	if err != nil {
		return err
	}
	for _, e := range events {
		var about struct {
			Person string `json:"person"`
		}
		if err := e.Decode(&about); err != nil {
			return err
		}
		row := historyRow{At: e.At.Local().Format("2006-01-02 15:04:05"), Who: by(e.Actor), What: v.W.T("event." + e.Kind), Hash: e.Hash[:12]}
		if about.Person != "" && about.Person != e.Actor {
			row.What += ": " + by(about.Person)
		}
		v.Rows = append(v.Rows, row)
	}
	return s.render(w, status, "staff", v)
}

func roleWords(w Words, p people.Person) string {
	var out string
	for i, role := range p.Roles {
		if i > 0 {
			out += ", "
		}
		out += w.T("staff." + string(role))
	}
	return out
}

func (s *Server) addPerson(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	number, err := twice(r)
	if err == nil {
		_, err = s.book.Add(r.Context(), actor(r), r.PostFormValue("name"), rolesOf(r), number)
	}
	if say, status := wrong(wordsFor(r), err, "who.wrong"); say != "" {
		return s.staff(w, r, status, say)
	}
	if err != nil {
		return err
	}
	return back(w, r, "/people")
}

// showPerson lets a manager change a person.
func (s *Server) showPerson(w http.ResponseWriter, r *http.Request) error {
	return s.person(w, r, http.StatusOK, "")
}

func (s *Server) person(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	v := s.formView(r, "staff.title")
	p, ok, err := s.book.Find(r.Context(), r.PathValue("person"))
	if err != nil {
		return err
	}
	if !ok {
		return errNotThere
	}
	v.Person, v.Error, v.Title = p, problem, p.Name
	v.roles(p.Roles)
	return s.render(w, status, "person", v)
}

// aboutPerson does something to a person and leads back to their page.
func (s *Server) aboutPerson(w http.ResponseWriter, r *http.Request, do func(id string) error) error {
	if err := form(w, r); err != nil {
		return err
	}
	err := do(r.PathValue("person"))
	if say, status := wrong(wordsFor(r), err, "who.wrong"); say != "" {
		return s.person(w, r, status, say)
	}
	if err != nil {
		return err
	}
	return back(w, r, "/people")
}

func (s *Server) changePerson(w http.ResponseWriter, r *http.Request) error {
	return s.aboutPerson(w, r, func(id string) error {
		return s.book.Change(r.Context(), actor(r), id, r.PostFormValue("name"), rolesOf(r))
	})
}

func (s *Server) resetNumber(w http.ResponseWriter, r *http.Request) error {
	return s.aboutPerson(w, r, func(id string) error {
		proof, err := twice(r)
		if err != nil {
			return err
		}
		kind := people.Number
		if r.PostFormValue("kind") == string(people.Password) {
			kind = people.Password
		}
		return s.book.SetProof(r.Context(), actor(r), id, kind, proof)
	})
}

func (s *Server) leave(w http.ResponseWriter, r *http.Request) error {
	return s.aboutPerson(w, r, func(id string) error {
		return s.book.Leave(r.Context(), actor(r), id, r.PostFormValue("do") == "back")
	})
}

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
