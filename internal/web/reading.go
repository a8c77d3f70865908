package web

import (
	"net/http"
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/report"
	"selvage/internal/web/way"
	"selvage/internal/work"
)

// startView is the first page: drop files, or go on with a case.
type startView struct {
	frame
	Recent []recentRow
	Watch  *work.WatchState // of the watched folder; nil where there is none
	Chase  int              // cases for which somebody here has to do something today
}

// recentRow is one case of the list.
type recentRow struct {
	ID, Name, Tooth, Word, Line, At string
	Verdict                         finding.Verdict
	Signed                          bool
}

func (s *Server) start(w http.ResponseWriter, r *http.Request) error {
	v := startView{frame: s.frame(r)}
	v.Title = v.W.T("start")
	cases, err := s.desk.Recent(r.Context(), 12)
	if err != nil {
		return err
	}
	_, counts, err := s.desk.Board(r.Context(), 0, s.now().Local())
	if err != nil {
		return err
	}
	v.Chase = way.Chased(counts)
	if st, yes := s.desk.Watching(); yes {
		v.Watch = &st
	}
	for _, c := range cases {
		row := recentRow{ID: c.ID, Name: c.Name, Tooth: toothWords(v.W, c), At: minuteText(c.Changed), Word: v.W.T("word.open")}
		if k, ok := c.Current(); ok {
			row.Word = v.W.T("word." + string(k.State))
			if k.State == work.Done {
				row.Verdict, row.Line, row.Word = k.Verdict, k.LineIn(v.W.Lang), v.W.T("word."+string(k.Verdict))
			}
		}
		_, row.Signed = c.Signature()
		v.Recent = append(v.Recent, row)
	}
	return s.render(w, http.StatusOK, "start", v)
}

// figure serves a picture of a check. It never changes, so a browser may keep it.
func (s *Server) figure(w http.ResponseWriter, r *http.Request) error {
	res, _, err := s.resultOf(r)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(res.Figures, func(f work.FigureRef) bool { return f.Slot == r.PathValue("slot") })
	if i < 0 {
		return errNotThere
	}
	data, err := s.desk.Figure(r.Context(), res.Figures[i].Hash)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", res.Figures[i].MIME)
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

// checkOf returns the finished check that an address names.
func (s *Server) checkOf(r *http.Request) (work.Case, work.Check, error) {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return c, work.Check{}, err
	}
	i := slices.IndexFunc(c.Checks, func(k work.Check) bool { return k.ID == r.PathValue("check") && k.State == work.Done })
	if i < 0 {
		return c, work.Check{}, errNotThere
	}
	return c, c.Checks[i], nil
}

// resultOf returns the stored result of the finished check that an address names.
func (s *Server) resultOf(r *http.Request) (work.Result, casefile.Report, error) {
	_, k, err := s.checkOf(r)
	if err != nil {
		return work.Result{}, casefile.Report{}, err
	}
	return s.desk.Result(r.Context(), k)
}

// reportJSON serves the report of a check as the command line writes it.
func (s *Server) reportJSON(w http.ResponseWriter, r *http.Request) error {
	c, k, err := s.checkOf(r)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), c.ID, "report"); err != nil {
		return err
	}
	_, rep, err := s.desk.Result(r.Context(), k)
	if err != nil {
		return err
	}
	data, err := rep.Encode()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

// dentistView is one number, one picture, and the decision.
type dentistView struct {
	frame
	Case     work.Case
	Tooth    string
	Ready    bool // there is a finished check of what the case holds
	Check    work.Check
	Parts    report.Parts
	Alarms   []alarmRow
	Decided  *work.Signed[work.Decision]
	Signed   *signature
	Reason   bool // accepting needs a reason
	Accepted bool
	Reasons  []string   // keys of the reasons that can be tapped
	Query    *way.Query // of the laboratory, that waits; nil: none
}

// reasons are why a case may be accepted although the check asks for something.
var reasons = []string{"reason.seen", "reason.elsewhere", "reason.cannot", "reason.agreed"}

// alarmRow is one finding that the dentist may call right or not right.
type alarmRow struct {
	N     int
	Text  string
	Right string // yes, no, or empty
}

func (s *Server) showDentist(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), id, "dentist"); err != nil {
		return err
	}
	v := dentistView{frame: s.frame(r), Case: c, Tooth: toothWords(wordsFor(r), c), Reasons: reasons}
	v.Title = v.W.T("dentist.title")
	if v.Query, err = s.queryOf(r, c); err != nil {
		return err
	}
	k, current := c.Current()
	if current && k.State == work.Done && c.Keeping.Deleted == nil {
		v.Ready, v.Check, v.Reason = true, k, k.Verdict != finding.Clear
		in, _, err := s.reportOf(r.Context(), v.W, c, k)
		if err != nil {
			return err
		}
		if v.Parts, err = report.Pieces(in); err != nil {
			return err
		}
		v.Alarms = alarms(in.Report, c, k)
	}
	if d, ok := c.Decision(); ok {
		v.Decided, v.Accepted = &d, d.What.Choice == work.Accept
	}
	if sig, ok := c.Signature(); ok {
		by, err := s.names(r)
		if err != nil {
			return err
		}
		v.Signed = &signature{By: by(sig.By), At: minuteText(sig.At)}
	}
	return s.render(w, http.StatusOK, "dentist", v)
}

func alarms(rep casefile.Report, c work.Case, k work.Check) []alarmRow {
	var out []alarmRow
	for _, f := range report.Order(rep) {
		if f.Action == finding.Note || f.Action == finding.FillIn {
			continue
		}
		row := alarmRow{N: f.N, Text: f.Text}
		for _, a := range c.Alarms {
			if a.Check == k.ID && a.Finding == f.N {
				row.Right = map[bool]string{true: "yes", false: "no"}[a.Right]
			}
		}
		out = append(out, row)
	}
	return out
}

// historyView is every event of a case.
type historyView struct {
	frame
	Case work.Case
	Rows []historyRow
}

type historyRow struct{ At, Who, What, Hash string }

func (s *Server) showHistory(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		return err
	}
	events, err := s.desk.Events(r.Context(), id)
	if err != nil {
		return err
	}
	v := historyView{frame: s.frame(r), Case: c}
	v.Title = v.W.T("history")
	by, err := s.names(r)
	if err != nil {
		return err
	}
	for _, e := range events {
		v.Rows = append(v.Rows, historyRow{
			At: e.At.Local().Format("2006-01-02 15:04:05"), Who: by(e.Actor), What: v.W.T("event." + e.Kind), Hash: e.Hash[:12],
		})
	}
	slices.Reverse(v.Rows)
	return s.render(w, http.StatusOK, "history", v)
}
