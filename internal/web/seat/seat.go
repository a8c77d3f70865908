// Package seat is the room where work is tried in and seated, and where it is told why it
// is made again: the steps in a guided order, how the visit ended, and each party's view
// beside what the check had said.
package seat

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/internal/people"
	"selvage/internal/seating"
	"selvage/internal/web/page"
	"selvage/internal/work"
)

// Room is where work is tried in and seated.
type Room struct{ page.Site }

// Add adds the addresses.
func Add(mux *http.ServeMux, site page.Site) {
	s := Room{site}
	mux.HandleFunc("GET /case/{case}/seat", s.Page(s.showSeat))
	mux.HandleFunc("POST /case/{case}/seat/step", s.Page(s.tryStep))
	mux.HandleFunc("POST /case/{case}/seat/minutes", s.Page(s.adjust))
	mux.HandleFunc("POST /case/{case}/seated", s.Page(s.seated))
	mux.HandleFunc("GET /case/{case}/remake", s.Page(s.showRemake))
	mux.HandleFunc("POST /case/{case}/remake", s.Page(s.sayRemake))
	mux.HandleFunc("POST /case/{case}/remake/pays", s.Page(s.payRemake))
}

// seatView is the visit to seat: one step of the try-in, all of them, or how it ended.
type seatView struct {
	W    page.Words
	Case work.Case
	May  bool // who looks may note something

	Open   bool // a visit is on, or may begin
	Ending bool // its end is being noted
	Fixing bool // what was noted of the last visit is said anew
	Away   bool // the work is not in the building, as far as is known

	Step   *stepRow
	Wrongs []page.Choice
	Asking bool // what is wrong is being said
	Early  string
	Steps  []stepRow
	Total  int // minutes

	Ends, Faults, Cements, Lots []page.Choice
	Minutes, Cement, Lot        string
	Device, Seen                string
	Visits                      []visitRow
}

// stepRow is one step with its last word.
type stepRow struct {
	Key, Name, Do, Mark, State string
	N, Minutes                 int
	Adjustable, Plain          bool // plain: it is done or not
}

// visitRow is a visit that was noted.
type visitRow struct {
	N      int
	Text   string
	Was    []string
	Remake bool
	Last   bool
}

// seatOpen reports whether a visit is on or may begin: nothing was seated yet, or it was
// made again and sent, or a step of the next visit was noted already.
func seatOpen(c work.Case) bool {
	n := len(c.Visits)
	if n == 0 || slices.ContainsFunc(c.Seating.Tried, func(t seating.Tried) bool { return t.Visit == n }) {
		return true
	}
	last := c.Visits[n-1]
	return last.Outcome == seating.Remake && len(c.Sent) > 0 && c.Sent[len(c.Sent)-1].At.After(last.Day())
}

func (s Room) showSeat(w http.ResponseWriter, r *http.Request) error {
	c, err := s.Desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	if err := s.Desk.View(r.Context(), s.Actor(r), c.ID, "seat"); err != nil {
		return err
	}
	q := r.URL.Query()
	v := seatView{W: s.Words(r), Case: c, May: s.Person(r).May(people.Send), Fixing: q.Has("fix") && len(c.Visits) > 0}
	v.Open = seatOpen(c) || q.Has("again")
	v.Ending = v.Open && q.Has("end") || v.Fixing
	v.Away = len(c.Sent) > 0 && !c.Arrived()
	by, err := s.Names(r)
	if err != nil {
		return err
	}
	for i, x := range c.Visits {
		row := visitRow{N: i, Text: Text(v.W, x, by), Remake: x.Outcome == seating.Remake, Last: i == len(c.Visits)-1}
		for _, o := range x.Was {
			row.Was = append(row.Was, Text(v.W, o, by))
		}
		v.Visits = append(v.Visits, row)
	}
	slices.Reverse(v.Visits)
	if v.Open {
		v.steps(q.Get("step"), q.Has("wrong"))
	}
	if v.Ending {
		if err := s.ending(r, &v); err != nil {
			return err
		}
	}
	return s.Show(w, r, page.Shown{Name: "seat", Title: v.W.T("seat.title"), Case: &c, Tooth: s.Tooth(v.W, c), View: v})
}

// Text tells how a visit ended.
func Text(w page.Words, x seating.Seated, by func(string) string) string {
	text := w.T("seat.was", page.Minute(x.At), w.T("outcome."+string(x.Outcome)), strconv.Itoa(x.Minutes), by(x.By))
	if x.Seen != "" {
		text += " " + w.T("seat.seen.was", w.T("fault."+string(x.Seen)))
	}
	for _, f := range [][2]string{{"seat.cement", x.Cement}, {"seat.lot", x.Lot}, {"seat.device", x.Device}} {
		if f[1] != "" {
			text += " · " + w.T(f[0]) + " " + f[1]
		}
	}
	if x.Text != "" {
		text += " · " + x.Text
	}
	return text
}

// steps lists all steps, and the one that is asked for, or is next, apart.
func (v *seatView) steps(want string, asking bool) {
	rec, visit := v.Case.Seating, len(v.Case.Visits)
	now, ok := rec.Next(visit)
	if slices.Contains(seating.Steps(), seating.Step(want)) {
		now, ok = seating.Step(want), true
	}
	for i, st := range seating.Steps() {
		row := stepRow{
			Key: string(st), Name: v.W.T("tryin." + string(st)), Do: v.W.T("tryin." + string(st) + ".do"), N: i + 1, State: "open",
			Minutes: rec.Minutes(visit, st), Adjustable: st.Adjustable(), Plain: len(st.Wrongs()) == 0, Mark: v.W.T("tryin.open"),
		}
		if t, said := rec.Last(visit, st); said {
			row.State, row.Mark = string(t.Result), v.W.T("tryin."+string(t.Result))
			for j, x := range t.Wrong {
				row.Mark += map[bool]string{true: ": ", false: ", "}[j == 0] + v.W.T("wrong."+string(x))
			}
		}
		if ok && st == now {
			own := row
			v.Step, v.Asking = &own, asking && !row.Plain
			for _, x := range st.Wrongs() {
				v.Wrongs = append(v.Wrongs, page.Choice{Value: string(x), Name: v.W.T("wrong." + string(x))})
			}
			var early []string
			for _, b := range rec.Early(visit, st) {
				early = append(early, v.W.T("tryin."+string(b)))
			}
			v.Early = strings.Join(early, ", ")
		}
		v.Steps = append(v.Steps, row)
	}
	v.Total = rec.Minutes(visit, "")
}

// Field is one whose values are mostly one of a few.
type Field struct {
	W           page.Words
	Name, Value string
	List        []page.Choice
}

// Known gathers what such a field is drawn from, for templates.
func Known(w page.Words, name, value string, list []page.Choice) Field {
	if value != "" && len(list) > 0 && !slices.ContainsFunc(list, func(c page.Choice) bool { return c.Value == value }) {
		list = append([]page.Choice{{Value: value, Name: value}}, list...)
	}
	return Field{w, name, value, list}
}

// lately is how many cases are looked through for the cements that are in use.
const lately = 60

// ending fills in what is known of how the visit ends: nothing is entered twice.
func (s Room) ending(r *http.Request, v *seatView) error {
	v.Minutes = strconv.Itoa(v.Total)
	if n := len(v.Case.Back); n > 0 {
		v.Device = v.Case.Back[n-1].Device
	}
	if v.Fixing {
		x := v.Case.Visits[len(v.Case.Visits)-1]
		v.Minutes, v.Cement, v.Lot, v.Device, v.Seen = strconv.Itoa(x.Minutes), x.Cement, x.Lot, page.Or(x.Device, v.Device), string(x.Seen)
	}
	for _, o := range seating.Outcomes() {
		v.Ends = append(v.Ends, page.Choice{Value: string(o), Name: v.W.T("outcome." + string(o))})
	}
	for _, f := range seating.Faults() {
		v.Faults = append(v.Faults, page.Choice{Value: string(f), Name: v.W.T("fault." + string(f)), Chosen: string(f) == v.Seen})
	}
	cases, err := s.Desk.Recent(r.Context(), lately)
	if err != nil {
		return err
	}
	offer := func(list *[]page.Choice, text string) {
		const most = 4
		if text != "" && len(*list) < most && !slices.ContainsFunc(*list, func(c page.Choice) bool { return c.Value == text }) {
			*list = append(*list, page.Choice{Value: text, Name: text})
		}
	}
	for _, c := range cases {
		for _, x := range slices.Backward(c.Visits) {
			offer(&v.Cements, x.Cement)
			offer(&v.Lots, x.Lot)
		}
	}
	return nil
}

// tryStep notes what a step of the try-in showed.
func (s Room) tryStep(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	t := seating.Tried{Step: seating.Step(r.PostFormValue("step")), Result: seating.Result(r.PostFormValue("result"))}
	for _, x := range r.PostForm["wrong"] {
		t.Wrong = append(t.Wrong, seating.Wrong(x))
	}
	if err := s.Desk.Try(r.Context(), s.Actor(r), id, t); err != nil {
		return err
	}
	to := page.Join("case", id, "seat") + "?again=1"
	if t.Result == seating.NotGood { // it is adjusted and tried again
		to += "&step=" + string(t.Step)
	}
	return page.Back(w, r, to)
}

// adjust notes minutes that were spent on a step.
func (s Room) adjust(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(w, r); err != nil {
		return err
	}
	id, step := r.PathValue("case"), r.PostFormValue("step")
	n, err := strconv.Atoi(r.PostFormValue("minutes"))
	if err != nil {
		return &work.Problem{What: s.Words(r).T("fail.choice")}
	}
	if err := s.Desk.Adjust(r.Context(), s.Actor(r), id, seating.Adjustment{Step: seating.Step(step), Minutes: n}); err != nil {
		return err
	}
	return page.Back(w, r, page.Join("case", id, "seat")+"?again=1&step="+step)
}

// seated notes how a visit to seat ended, or says it anew.
func (s Room) seated(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(w, r); err != nil {
		return err
	}
	id, words := r.PathValue("case"), s.Words(r)
	get := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	minutes, err := strconv.Atoi(page.Or(get("minutes"), "0"))
	if err != nil {
		return &work.Problem{What: words.T("plan.wrong", words.T("seat.minutes"), get("minutes")), Try: words.T("plan.wrong.try")}
	}
	v := seating.Seated{
		Outcome: seating.Outcome(get("outcome")), Minutes: minutes, Seen: seating.Fault(get("seen")), Corrects: r.PostForm.Has("fix"),
		Cement: page.Or(get("cement"), get("cement.known")), Lot: page.Or(get("lot"), get("lot.known")), Device: get("device"), Text: get("text"),
	}
	if err := s.Desk.Seat(r.Context(), s.Actor(r), id, v); err != nil {
		return err
	}
	if v.Outcome == seating.Remake {
		return page.Back(w, r, page.Join("case", id, "remake"))
	}
	return page.Back(w, r, page.Join("case", id, "seat"))
}
