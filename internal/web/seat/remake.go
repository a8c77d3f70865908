package seat

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/finding"
	"selvage/internal/people"
	"selvage/internal/report"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/web/page"
	"selvage/internal/web/review"
	"selvage/internal/work"
)

// remakeView is why work is made again: what the check said when it was handed off, and
// beside it what each party saw and thinks. Who pays stands apart.
type remakeView struct {
	W    page.Words
	Case work.Case
	May  bool // who looks may note something
	N    int
	Text string // how the visit ended

	Sent, Line, Decided string
	Said                []saidRow
	Parties             []partyRow
	Pays                string
	PaysWas             []string
	Payers              []page.Choice

	Party   *partyRow // whose view is being said
	Faults  []page.Choice
	Wheres  []page.Choice
	Origins []page.Choice
	Note    string
}

// saidRow is a finding of the check at hand-off.
type saidRow struct {
	N                   int
	Text, Action, Judge string
	Same                bool // it speaks of what was seen
}

// partyRow is what a party says.
type partyRow struct {
	Key, Name, Seen, Found, Origins, Text, By string
	Was                                       []string
}

// visitOf reads which visit an address means: ?visit, else the last.
func visitOf(r *http.Request, c work.Case) (int, error) {
	n := len(c.Visits) - 1
	if t := r.FormValue("visit"); t != "" {
		var err error
		if n, err = strconv.Atoi(t); err != nil {
			return 0, page.ErrNotThere
		}
	}
	if n < 0 || n >= len(c.Visits) {
		return 0, page.ErrNotThere
	}
	return n, nil
}

func (s Room) showRemake(w http.ResponseWriter, r *http.Request) error {
	c, err := s.Desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	n, err := visitOf(r, c)
	if err != nil {
		return err
	}
	if err := s.Desk.View(r.Context(), s.Actor(r), c.ID, "remake"); err != nil {
		return err
	}
	by, err := s.Names(r)
	if err != nil {
		return err
	}
	v := remakeView{W: s.Words(r), Case: c, May: s.Person(r).May(people.Send), N: n, Text: Text(s.Words(r), c.Visits[n], by)}
	for _, p := range seating.Parties() {
		row := partyRow{Key: string(p), Name: v.W.T("party." + string(p))}
		last, before, ok := c.Seating.View(n, p)
		if ok {
			v.viewed(&row, last, by)
		}
		for _, o := range before {
			var was partyRow
			v.viewed(&was, o, by)
			row.Was = append(row.Was, strings.Join(slices.DeleteFunc([]string{was.By, was.Seen, was.Found, was.Origins, was.Text}, func(t string) bool { return t == "" }), " · "))
		}
		if string(p) == r.URL.Query().Get("party") && v.May {
			v.form(row, last, c.Visits[n])
		}
		v.Parties = append(v.Parties, row)
	}
	last, before, ok := c.Seating.Payer(n)
	paid := func(p seating.Paid) string {
		return v.W.T("remake.pays.was", v.W.T("payer."+string(p.Who)), page.Minute(p.At), by(p.By))
	}
	if ok {
		v.Pays = paid(last)
	}
	for _, p := range before {
		v.PaysWas = append(v.PaysWas, paid(p))
	}
	for _, p := range seating.Payers() {
		v.Payers = append(v.Payers, page.Choice{Value: string(p), Name: v.W.T("payer." + string(p)), Chosen: ok && p == last.Who})
	}
	if err := s.saidThen(r, &v, by); err != nil {
		return err
	}
	return s.Show(w, r, page.Shown{Name: "remake", Title: v.W.T("remake.title"), Case: &c, Tooth: s.Tooth(v.W, c), View: v})
}

// viewed puts a view into words.
func (v *remakeView) viewed(row *partyRow, x seating.View, by func(string) string) {
	row.By = page.Minute(x.At) + " · " + by(x.By)
	row.Seen, row.Origins = worded(v.W, "fault.", x.Seen), worded(v.W, "origin.", x.Origins)
	if x.Found != "" {
		row.Found = v.W.T("found." + string(x.Found))
	}
	row.Text = x.Text
}

// form offers what a party can say, with what it said until now, or was noted at the visit.
func (v *remakeView) form(row partyRow, last seating.View, x seating.Seated) {
	v.Party, v.Note = &row, last.Text
	if len(last.Seen) == 0 && x.Seen != "" {
		last.Seen = []seating.Fault{x.Seen}
	}
	for _, f := range seating.Faults() {
		v.Faults = append(v.Faults, page.Choice{Value: string(f), Name: v.W.T("fault." + string(f)), Chosen: slices.Contains(last.Seen, f)})
	}
	for _, f := range seating.Wheres() {
		v.Wheres = append(v.Wheres, page.Choice{Value: string(f), Name: v.W.T("found." + string(f)), Chosen: last.Found == f})
	}
	for _, o := range seating.Origins() {
		v.Origins = append(v.Origins, page.Choice{Value: string(o), Name: v.W.T("origin." + string(o)), Chosen: slices.Contains(last.Origins, o)})
	}
}

// worded names things one after the other.
func worded[T ~string](w page.Words, of string, list []T) string {
	var out []string
	for _, x := range list {
		out = append(out, w.T(of+string(x)))
	}
	return strings.Join(out, ", ")
}

// saidThen tells what the check said when the work was handed off.
func (s Room) saidThen(r *http.Request, v *remakeView, by func(string) string) error {
	sent, k, ok := v.Case.HandedOver(v.N)
	switch {
	case !ok:
		v.Line = v.W.T("remake.not.sent")
		return nil
	case k.ID == "":
		v.Sent, v.Line = page.Minute(sent.At), v.W.T("remake.no.check")
		return nil
	}
	v.Sent, v.Line = page.Minute(sent.At), k.LineIn(v.W.Language())
	if d := v.Case.Decided; d != nil && d.What.Check == k.ID {
		v.Decided = v.W.T("dentist.decided") + " " + v.W.T("choice."+string(d.What.Choice)) + " · " + by(d.By)
		if d.What.Reason != "" {
			v.Decided += ": " + d.What.Reason
		}
	}
	res, rep, err := s.Desk.Result(r.Context(), k)
	switch {
	case errors.Is(err, store.ErrNoBlob): // its files were deleted when their time was over; the line stays
		return nil
	case err != nil:
		return err
	}
	seen := v.Case.Seating.Seen(v.N, v.Case.Visits[v.N])
	for _, f := range report.Order(res.In(v.W.Language(), rep)) {
		row := saidRow{N: f.N, Text: f.Text, Action: v.W.T("said." + string(f.Action)), Same: review.Speaks(f.Code, seen)}
		if f.Action == finding.FillIn || f.Action == finding.Note && !row.Same {
			continue
		}
		for _, a := range v.Case.Alarms {
			if a.Check == k.ID && a.Finding == f.N {
				row.Judge = v.W.T(map[bool]string{true: "alarm.right", false: "alarm.wrong"}[a.Right])
			}
		}
		v.Said = append(v.Said, row)
	}
	return nil
}

// visited reads a form about a visit: the case, and which visit of it.
func (s Room) visited(w http.ResponseWriter, r *http.Request) (c work.Case, n int, err error) {
	if err := page.Form(w, r); err != nil {
		return c, 0, err
	}
	if c, err = s.Desk.Case(r.Context(), r.PathValue("case")); err != nil {
		return c, 0, err
	}
	n, err = visitOf(r, c)
	return c, n, err
}

// sayRemake notes what a party saw and thinks.
func (s Room) sayRemake(w http.ResponseWriter, r *http.Request) error {
	c, n, err := s.visited(w, r)
	if err != nil {
		return err
	}
	v := seating.View{Visit: n, Party: seating.Party(r.PostFormValue("party")), Found: seating.Where(r.PostFormValue("found")), Text: r.PostFormValue("text")}
	for _, x := range r.PostForm["seen"] {
		v.Seen = append(v.Seen, seating.Fault(x))
	}
	for _, x := range r.PostForm["origin"] {
		v.Origins = append(v.Origins, seating.Origin(x))
	}
	if err := s.Desk.Say(r.Context(), s.Actor(r), c.ID, v); err != nil {
		return err
	}
	return page.Back(w, r, page.Join("case", c.ID, "remake")+"?visit="+strconv.Itoa(n))
}

// payRemake notes who bears the cost.
func (s Room) payRemake(w http.ResponseWriter, r *http.Request) error {
	c, n, err := s.visited(w, r)
	if err != nil {
		return err
	}
	if err := s.Desk.Pay(r.Context(), s.Actor(r), c.ID, seating.Paid{Visit: n, Who: seating.Payer(r.PostFormValue("who")), Text: r.PostFormValue("text")}); err != nil {
		return err
	}
	return page.Back(w, r, page.Join("case", c.ID, "remake")+"?visit="+strconv.Itoa(n))
}
