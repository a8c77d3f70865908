package web

import (
	"net/http"
	"slices"
	"strconv"
	"time"

	"selvage/internal/prescription"
	"selvage/internal/schedule"
	"selvage/internal/work"
	"selvage/tooth"
)

// clockView is the page of the clock.
type clockView struct {
	frame
	Case    work.Case
	Tooth   string
	Clock   schedule.Clock
	Method  *schedule.Method // chosen; nil before
	Methods []schedule.Method
	Now     int64 // of this server, ms since 1970: the page counts from it
	Since   int64 // what is counted up from, ms; 0: nothing runs
	Least   int64 // marks, in seconds from Since
	Most    int64
	Sulcus  schedule.Sulcus
	Elapsed string // for a page without a script
	Cords   int    // still in
	Caps    int
	Uppers  []choice
	Lowers  []choice
	Pairs   []string
	Reasons []string
	Mind    string // alerts that matter at this step
}

// staysIn are why something may stay in, as keys of the catalogue.
var staysIn = []string{"clock.stays.cement", "clock.stays.dentist"}

func (s *Server) showClock(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), id, "clock"); err != nil {
		return err
	}
	now := time.Now()
	v := clockView{frame: s.frame(r), Case: c, Clock: c.Clock(), Methods: s.methods(wordsFor(r)), Now: now.UnixMilli(), Reasons: staysIn}
	v.Title, v.Tooth = v.W.T("clock.title"), toothWords(v.W, c)
	v.Cords, v.Caps = v.Clock.Left()
	v.Mind = alertsAt(v.W, prescription.AtRetraction, c)
	for i, m := range v.Methods {
		if m.Key == v.Clock.Method {
			v.Method = &v.Methods[i]
		}
	}
	from := v.Clock.Began
	if v.Method != nil {
		v.Least, v.Most = int64(v.Method.Least/time.Second), int64(v.Method.Most/time.Second)
	}
	if v.Sulcus = v.Clock.SulcusAt(now); v.Sulcus != schedule.Unknown {
		from = v.Clock.Opened
		v.Least, v.Most = int64(schedule.LineAngles/time.Second), int64(schedule.MidBuccal/time.Second)
	}
	if !from.IsZero() {
		v.Since, v.Elapsed = from.UnixMilli(), minutes(now.Sub(from))
	}
	v.pairs()
	return s.render(w, http.StatusOK, "clock", v)
}

// methods returns the practice's ways to open the sulcus. The names that the program ships
// are said in the reader's language; those of the practice's own table stand as they are.
func (s *Server) methods(w Words) []schedule.Method {
	out := s.desk.Methods()
	for i := range out {
		if slices.ContainsFunc(schedule.Default(), func(m schedule.Method) bool { return m.Key == out[i].Key && m.Name == out[i].Name }) {
			out[i].Name = w.T("method." + out[i].Key)
		}
	}
	return out
}

// minutes writes a time as 4:05.
func minutes(d time.Duration) string {
	n := int(d / time.Second)
	return strconv.Itoa(n/60) + ":" + strconv.Itoa(n%60/10) + strconv.Itoa(n%10)
}

// pairs offers the teeth for shim stock, those about the prepared one chosen.
func (v *clockView) pairs() {
	var prepared tooth.Number
	if len(v.Case.Order.Restorations) > 0 {
		prepared = v.Case.Order.Restorations[0].Tooth.Number()
	}
	near := map[tooth.Number]bool{}
	if n, ok := prepared.Mesial(); ok {
		near[n] = true
		for _, a := range n.Antagonists() {
			near[a] = true
			break
		}
	}
	for _, q := range []int{1, 2, 4, 3} {
		for i := 8; i >= 1; i-- {
			n := tooth.Number(q*10 + i)
			ch := choice{Value: n.String(), Name: n.String() + " · #" + strconv.Itoa(n.Universal()), Chosen: near[n]}
			if n.Jaw() == tooth.Upper {
				v.Uppers = append(v.Uppers, ch)
			} else {
				v.Lowers = append(v.Lowers, ch)
			}
		}
	}
	for _, p := range v.Case.Order.ShimStock {
		how := v.W.T("shim.held")
		if p.Held != nil && !*p.Held {
			how = v.W.T("shim.slipped")
		}
		v.Pairs = append(v.Pairs, p.Upper.Code+" / "+p.Lower.Code+": "+how)
	}
}

// tick records what happened at the chair. Taking the last cord out so that the scan can
// begin is two things at once: the count, and the sulcus that starts to close.
func (s *Server) tick(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	var err error
	switch what := r.PostFormValue("what"); what {
	case "take-back":
		err = s.desk.TakeTickBack(r.Context(), actor(r), id, number(r, "ticks"))
	case "cord-out-now", "cap-out-now":
		first := schedule.CordOut
		if what == "cap-out-now" {
			first = schedule.CapOut
		}
		if err = s.desk.Tick(r.Context(), actor(r), id, schedule.Tick{What: first}); err == nil {
			err = s.desk.Tick(r.Context(), actor(r), id, schedule.Tick{What: schedule.Opened})
		}
	case schedule.Explained: // that is the dentist's to say, at an address of its own
		err = &work.Problem{What: wordsFor(r).T("fail.choice")}
	default:
		err = s.desk.Tick(r.Context(), actor(r), id, schedule.Tick{What: what, Method: r.PostFormValue("method")})
	}
	if err != nil {
		return err
	}
	return back(w, r, join("case", id, "clock"))
}

// stays records why the dentist leaves something in.
func (s *Server) stays(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	t := schedule.Tick{What: schedule.Explained, Reason: r.PostFormValue("reason")}
	if err := s.desk.Tick(r.Context(), actor(r), id, t); err != nil {
		return err
	}
	return back(w, r, join("case", id, "clock"))
}

// shim notes a pair of teeth that was tried with shim stock.
func (s *Server) shim(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	upper, err1 := tooth.Parse(tooth.FDI, r.PostFormValue("upper"))
	lower, err2 := tooth.Parse(tooth.FDI, r.PostFormValue("lower"))
	if err1 != nil || err2 != nil {
		return &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	if err := s.desk.Shim(r.Context(), actor(r), id, upper, lower, r.PostFormValue("held") == "yes"); err != nil {
		return err
	}
	return back(w, r, join("case", id, "clock"))
}
