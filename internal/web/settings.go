package web

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"selvage/internal/people"
	"selvage/internal/web/settings"
	"selvage/internal/work"
)

// settingsView is the page of settings.
type settingsView struct {
	frame
	Error  string
	Token  string // of a program, shown once
	Limits struct {
		Version string
		Changed int
	}
	Watch    *work.WatchState
	Watched  string // what the form holds
	Watches  []changeRow
	Methods  []methodRow
	Keep     []choice
	Older    int // cases that are kept longer than they need be
	Backup   *backupRow
	Programs []staffRow
	Roles    []choice
}

// methodRow is one way to open the sulcus.
type methodRow struct {
	Key, Name, Times, Least, Most, Source string
	Changes                               []changeRow
}

// changeRow is one change of a setting.
type changeRow struct{ What, Why, At, Who string }

// backupRow is the last back-up.
type backupRow struct {
	At, To                 string
	Events, Files, Missing int
	Old                    bool
}

// backupOld is how long after a back-up the next one is due.
const backupOld = 7 * 24 * time.Hour

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request) error {
	return s.settings(w, r, http.StatusOK, "", "")
}

func (s *Server) settings(w http.ResponseWriter, r *http.Request, status int, problem, token string) error {
	v := settingsView{frame: s.frame(r), Error: problem, Token: token}
	v.Title = v.W.T("settings.title")
	now := s.desk.Limits()
	v.Limits.Version, v.Limits.Changed = now.Version(), len(now.Edited(s.desk.GivenLimits()))
	if st, yes := s.desk.Watching(); yes {
		v.Watch, v.Watched = &st, st.Dir
	}
	if r.PostForm.Has("watch") { // it was refused
		v.Watched = r.PostFormValue("watch")
	}
	for _, fill := range []func(*http.Request) error{v.watches(s), v.methods(s), v.kept(s), v.programs(s)} {
		if err := fill(r); err != nil {
			return err
		}
	}
	return s.render(w, status, "settings", v)
}

// watches fills in which folders were watched before.
func (v *settingsView) watches(s *Server) func(*http.Request) error {
	return func(r *http.Request) error {
		history, err := s.desk.WatchHistory(r.Context())
		if err != nil {
			return err
		}
		by, err := s.names(r)
		if err != nil {
			return err
		}
		for _, h := range history {
			v.Watches = append(v.Watches, changeRow{
				What: or(h.What.Was, v.W.T("watch.no")) + " → " + or(h.What.Dir, v.W.T("watch.no")), At: minuteText(h.At), Who: by(h.By),
			})
		}
		return nil
	}
}

// setWatch says from which folder scans are taken.
func (s *Server) setWatch(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	dir := r.PostFormValue("watch")
	if r.PostFormValue("do") == "none" {
		dir = ""
	}
	err := s.desk.SetWatch(r.Context(), actor(r), dir)
	if say := s.unset(r, err); say != "" {
		return s.settings(w, r, http.StatusUnprocessableEntity, say, "")
	}
	if err != nil {
		return err
	}
	return back(w, r, "/settings#watch")
}

func (v *settingsView) methods(s *Server) func(*http.Request) error {
	return func(r *http.Request) error {
		history, err := s.desk.TimesHistory(r.Context())
		if err != nil {
			return err
		}
		by, err := s.names(r)
		if err != nil {
			return err
		}
		for _, m := range s.methods(v.W) {
			row := methodRow{Key: m.Key, Name: m.Name, Times: timesText(v.W, m.Least, m.Most), Least: settings.Minutes(m.Least), Most: settings.Minutes(m.Most), Source: m.Source}
			for _, h := range history {
				if h.What.Key == m.Key {
					row.Changes = append(row.Changes, changeRow{
						What: timesText(v.W, time.Duration(h.What.Least)*time.Second, time.Duration(h.What.Most)*time.Second),
						Why:  h.What.Reason, At: minuteText(h.At), Who: by(h.By),
					})
				}
			}
			v.Methods = append(v.Methods, row)
		}
		return nil
	}
}

// timesText writes how long something stays in.
func timesText(w Words, least, most time.Duration) string {
	switch {
	case most > 0:
		return w.T("times.range", or(settings.Minutes(least), "0"), settings.Minutes(most))
	case least > 0:
		return w.T("times.from", settings.Minutes(least))
	}
	return w.T("times.none")
}

func (v *settingsView) kept(s *Server) func(*http.Request) error {
	return func(r *http.Request) error {
		now, err := s.book.Settings(r.Context())
		if err != nil {
			return err
		}
		for _, y := range people.KeepChoices() {
			v.Keep = append(v.Keep, choice{Value: strconv.Itoa(y), Name: v.W.T("keep.years", y), Chosen: y == now.Keep})
		}
		old, err := s.desk.Old(r.Context(), s.now().AddDate(-now.Keep, 0, 0))
		if err != nil {
			return err
		}
		v.Older = len(old)
		b, made, err := s.desk.LastBackup(r.Context())
		if err != nil || !made {
			return err
		}
		v.Backup = &backupRow{
			At: minuteText(b.At), To: b.What.To, Events: int(b.What.Events), Files: b.What.Files, Missing: b.What.Missing,
			Old: s.now().Sub(b.At) > backupOld,
		}
		return nil
	}
}

func (v *settingsView) programs(s *Server) func(*http.Request) error {
	return func(r *http.Request) error {
		all, err := s.book.Programs(r.Context())
		if err != nil {
			return err
		}
		for _, p := range all {
			v.Programs = append(v.Programs, staffRow{ID: p.ID, Name: p.Name, Roles: v.W.T("programs." + string(p.Roles[0])), Left: p.Left})
		}
		for i, role := range people.ProgramRoles() {
			key := "programs." + string(role)
			v.Roles = append(v.Roles, choice{Value: string(role), Name: v.W.T(key), More: v.W.T(key + ".more"), Chosen: i == 0})
		}
		return nil
	}
}

// setSettings changes when the page locks itself, or how long cases are kept.
func (s *Server) setSettings(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	var v people.Settings
	field, into, to := "idle", &v.Idle, "/people"
	if r.PostForm.Has("keep") {
		field, into, to = "keep", &v.Keep, "/settings"
	}
	n, err := strconv.Atoi(r.PostFormValue(field))
	if err != nil || n <= 0 {
		return errors.Join(&people.Problem{Key: "choice"}, err)
	}
	*into = n
	if err := s.book.SetSettings(r.Context(), actor(r), v); err != nil {
		return err
	}
	return back(w, r, to)
}

// limitsView is the table of limits, or one of them.
type limitsView struct {
	frame
	Version                      string
	Rows                         []settings.Limit
	Limit                        settings.Limit
	Flag, Advise, Source, Reason string
	Error                        string
	Changes                      []changeRow
}

func (s *Server) showLimits(w http.ResponseWriter, r *http.Request) error {
	now := s.desk.Limits()
	v := limitsView{frame: s.frame(r), Version: now.Version()}
	v.Rows = settings.Teller{T: v.W.T}.Limits(settings.Limits(now, s.desk.GivenLimits())...)
	v.Title = v.W.T("limits.title")
	return s.render(w, http.StatusOK, "limits", v)
}

func (s *Server) showLimit(w http.ResponseWriter, r *http.Request) error {
	return s.limit(w, r, http.StatusOK, "")
}

// limit shows one limit; where its form was refused, with what the form said.
func (s *Server) limit(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	row, ok := settings.Find(s.desk.Limits(), s.desk.GivenLimits(), r.PathValue("limit"), r.URL.Query())
	if !ok {
		return errNotThere
	}
	row = settings.Teller{T: wordsFor(r).T}.Limits(row)[0]
	v := limitsView{
		frame: s.frame(r), Limit: row, Error: problem, Source: row.Row.Source,
		Flag: settings.Level(row.Row.Flag), Advise: settings.Level(row.Row.Advise),
	}
	if problem != "" {
		v.Flag, v.Advise, v.Source, v.Reason = r.PostFormValue("flag"), r.PostFormValue("advise"), r.PostFormValue("source"), r.PostFormValue("reason")
	}
	v.Title = row.Name
	history, err := s.desk.LimitHistory(r.Context())
	if err != nil {
		return err
	}
	by, err := s.names(r)
	if err != nil {
		return err
	}
	for _, h := range history {
		if h.What.ID == row.Row.ID && h.What.For == row.Row.For {
			v.Changes = append(v.Changes, changeRow{What: h.What.Was + " → " + h.What.Is, Why: h.What.Reason, At: minuteText(h.At), Who: by(h.By)})
		}
	}
	return s.render(w, status, "limit", v)
}

func (s *Server) changeLimit(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	change, err := settings.Change(r.PathValue("limit"), r.URL.Query(), r.PostForm)
	if err == nil {
		err = s.desk.ChangeLimit(r.Context(), actor(r), change)
	}
	if say := s.unset(r, err); say != "" {
		return s.limit(w, r, http.StatusUnprocessableEntity, say)
	}
	if err != nil {
		return err
	}
	return back(w, r, "/settings/limits")
}

// unset says why a setting was not taken, where that is the form's fault.
func (s *Server) unset(r *http.Request, err error) string {
	var number *settings.NumberError
	var problem *work.Problem
	switch {
	case errors.As(err, &number):
		return wordsFor(r).T("limits.number", number.Text)
	case errors.As(err, &problem):
		return wordsFor(r).problem(problem)
	}
	return ""
}

func (s *Server) changeTimes(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	change, err := settings.Times(r.PathValue("method"), r.PostForm)
	if err == nil {
		err = s.desk.ChangeTimes(r.Context(), actor(r), change)
	}
	if say := s.unset(r, err); say != "" {
		return s.settings(w, r, http.StatusUnprocessableEntity, say, "")
	}
	if err != nil {
		return err
	}
	return back(w, r, "/settings#times")
}

// addProgram lets another program in and shows its token, once.
func (s *Server) addProgram(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	_, token, err := s.book.AddProgram(r.Context(), actor(r), r.PostFormValue("name"), people.Role(r.PostFormValue("role")))
	if say, status := wrong(wordsFor(r), err, "who.wrong"); say != "" {
		return s.settings(w, r, status, say, "")
	}
	if err != nil {
		return err
	}
	return s.settings(w, r, http.StatusOK, "", token)
}

func (s *Server) endProgram(w http.ResponseWriter, r *http.Request) error {
	if err := s.book.EndProgram(r.Context(), actor(r), r.PathValue("program")); err != nil {
		return err
	}
	return back(w, r, "/settings#programs")
}

// oldView is the page of the cases whose time is over.
type oldView struct {
	frame
	Years  int
	Rows   []settings.Old
	More   int // that are not shown
	Backup string
	Error  string
}

func (s *Server) showOld(w http.ResponseWriter, r *http.Request) error {
	return s.old(w, r, http.StatusOK, "")
}

// before returns the time before which a case changed last whose time is over.
func (s *Server) before(r *http.Request) (time.Time, int, error) {
	now, err := s.book.Settings(r.Context())
	return s.now().AddDate(-now.Keep, 0, 0), now.Keep, err
}

func (s *Server) old(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	than, years, err := s.before(r)
	if err != nil {
		return err
	}
	cases, err := s.desk.Old(r.Context(), than)
	if err != nil {
		return err
	}
	by, err := s.names(r)
	if err != nil {
		return err
	}
	v := oldView{frame: s.frame(r), Years: years, Error: problem}
	v.Title = v.W.T("old.title")
	if b, made, err := s.desk.LastBackup(r.Context()); err != nil {
		return err
	} else if made {
		v.Backup = minuteText(b.At)
	}
	tell := settings.Teller{T: v.W.T, By: by, Tooth: func(c work.Case) string { return toothWords(v.W, c) }, Me: actor(r)}
	v.Rows, v.More = tell.Old(cases)
	return s.render(w, status, "old-cases", v)
}

// keepOld holds a case, releases it, or takes one of the two steps by which its files are
// deleted.
func (s *Server) keepOld(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	than, _, err := s.before(r)
	if err != nil {
		return err
	}
	ctx, id := r.Context(), r.PathValue("case")
	switch r.PostFormValue("do") {
	case "hold":
		err = s.desk.Hold(ctx, actor(r), id, r.PostFormValue("why"))
	case "release":
		err = s.desk.LetGo(ctx, actor(r), id)
	case "ask":
		err = s.desk.AskDeletion(ctx, actor(r), id, than)
	case "not":
		err = s.desk.TakeBackDeletion(ctx, actor(r), id)
	case "delete":
		err = s.desk.Delete(ctx, actor(r), id, than)
	default:
		err = &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	if say := s.unset(r, err); say != "" {
		return s.old(w, r, http.StatusConflict, say)
	}
	if err != nil {
		return err
	}
	return back(w, r, "/settings/old")
}
