// Package exercise is the room where somebody practises: a made case is judged side by
// side, then told. Every page and every picture of it says that it is training.
package exercise

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/drill"
	"selvage/internal/web/page"
	"selvage/internal/work"
)

// Room is where somebody practises.
type Room struct {
	page.Site
	book *drill.Book
}

// Add adds the addresses.
func Add(mux *http.ServeMux, site page.Site, book *drill.Book) {
	s := Room{site, book}
	mux.HandleFunc("GET /drill", s.Page(s.list))
	mux.HandleFunc("POST /drill", s.Page(s.begin))
	mux.HandleFunc("GET /drill/{drill}", s.Page(s.show))
	mux.HandleFunc("POST /drill/{drill}", s.Page(s.say))
	mux.HandleFunc("POST /drill/{drill}/end", s.Page(s.end))
	mux.HandleFunc("GET /drill/{drill}/picture/{place}/{n}", s.Page(s.picture))
}

// listView is the first page: begin, or go on with one's own.
type listView struct {
	W    page.Words
	Own  []ownRow
	Open string // a drill that is not done
}

type ownRow struct{ ID, At, Said string }

func (s Room) list(w http.ResponseWriter, r *http.Request) error {
	all, err := s.book.Of(r.Context(), s.Actor(r))
	if err != nil {
		return err
	}
	v := listView{W: s.Words(r)}
	for _, d := range slices.Backward(all) {
		row := ownRow{ID: d.ID, At: page.Minute(d.At), Said: v.W.T("drill.unfinished", len(d.Said), len(drill.Places()))}
		if d.Done() {
			row.Said = v.W.T("drill.right", d.Right(), len(d.Told))
		} else if v.Open == "" {
			v.Open = d.ID
		}
		v.Own = append(v.Own, row)
	}
	return s.Show(w, r, page.Shown{Name: "drills", Title: v.W.T("drill.title"), View: v})
}

func (s Room) begin(w http.ResponseWriter, r *http.Request) error {
	id, err := s.book.Begin(r.Context(), s.Actor(r))
	if err != nil {
		return err
	}
	return page.Back(w, r, page.Join("drill", id))
}

// view is one drill: being made, one place of it, or what is told in the end.
type view struct {
	W      page.Words
	ID     string
	Busy   bool
	Tooth  string
	Place  *placeRow
	Places []placeRow
	N      int // of the place, from 1
	All    bool
	Room   string // what the material needs

	Told    []toldRow
	Person  string
	Program string
	Line    string
	Missed  int
	TooMany int
	Other   int  // of what was asked for where something else was to be done
	Stale   bool // it was told by another version of the program
}

type placeRow struct {
	Key, Name, Look, Said string
	Pictures              []int
}

// toldRow is one place with what was there, what the program said and what the person did.
type toldRow struct {
	placeRow
	There, Codes, Program, ProgramCodes, Person, Mark string
	Right                                             bool
}

// again is how often a page looks whether the case is made, seconds.
const again = "2"

func (s Room) found(r *http.Request) (drill.Drill, error) {
	d, err := s.book.Find(r.Context(), s.Actor(r), r.PathValue("drill"))
	if errors.Is(err, drill.ErrNone) {
		return d, page.ErrNotThere
	}
	return d, err
}

func (s Room) show(w http.ResponseWriter, r *http.Request) error {
	d, err := s.found(r)
	if err != nil {
		return err
	}
	v := view{W: s.Words(r), ID: d.ID}
	m, ready, err := s.book.Made(d)
	switch {
	case err != nil:
		return err
	case !ready:
		v.Busy = true
		w.Header().Set("Refresh", again)
	case d.Done():
		v.Tooth = s.tooth(v.W, m)
		v.told(d, m)
	default:
		v.Tooth = s.tooth(v.W, m)
		v.ask(d, m, r.URL.Query().Get("place"))
	}
	return s.Show(w, r, page.Shown{Name: "drill", Title: v.W.T("drill.title"), View: v})
}

// tooth names the tooth as on every page, in each system of numbers, and the material.
func (s Room) tooth(w page.Words, m *drill.Made) string {
	c := work.Case{Order: casefile.Case{Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(m.Tooth)}}}}
	return s.Tooth(w, c) + " · " + w.T("material."+m.Material)
}

// row is a place with what is said of it.
func (v *view) row(p drill.Place, m *drill.Made, said drill.Answer) placeRow {
	row := placeRow{Key: string(p), Name: v.W.T("place." + string(p)), Look: v.W.T("place." + string(p) + ".look")}
	if said != "" {
		row.Said = v.W.T("do." + string(said))
	}
	for n := range m.Pictures(p) {
		row.Pictures = append(row.Pictures, n)
	}
	return row
}

// ask shows the place that is wanted, or the next one without a word.
func (v *view) ask(d drill.Drill, m *drill.Made, want string) {
	now, open := d.Next()
	v.All = !open
	if slices.Contains(drill.Places(), drill.Place(want)) {
		now, open = drill.Place(want), true
	}
	for i, p := range drill.Places() {
		row := v.row(p, m, d.Said[p])
		if open && p == now {
			own := row
			v.Place, v.N = &own, i+1
		}
		v.Places = append(v.Places, row)
	}
	if now == drill.Bite && m.RoomMM > 0 {
		v.Room = v.W.T("drill.room", millimetres(v.W, m.RoomMM))
	}
}

func millimetres(w page.Words, mm float64) string {
	s := strconv.FormatFloat(mm, 'f', 1, 64)
	if w.Language() == "de" {
		s = strings.ReplaceAll(s, ".", ",")
	}
	return s
}

// told tells how it went.
func (v *view) told(d drill.Drill, m *drill.Made) {
	v.Stale = d.Version != m.Version
	program := 0
	for _, t := range d.Told {
		row := toldRow{
			placeRow: v.row(t.Place, m, ""), There: v.W.T("do." + string(t.There)), Program: v.W.T("do." + string(t.Program)), Person: v.W.T("do." + string(t.Person)),
			Right: t.Right(), Mark: v.W.T("mark.right"),
		}
		var codes, said []string
		for _, c := range t.Codes {
			codes = append(codes, v.W.T("code."+string(c)))
		}
		for _, c := range t.Said {
			said = append(said, v.W.T("code."+string(c)))
		}
		row.Codes, row.ProgramCodes = strings.Join(codes, ", "), strings.Join(said, ", ")
		if t.Program == t.There {
			program++
		}
		switch {
		case t.Right():
		case t.There == drill.Nothing:
			v.TooMany++
			row.Mark = v.W.T("mark.too-many")
		case t.Person == drill.Nothing:
			v.Missed++
			row.Mark = v.W.T("mark.missed")
		default:
			v.Other++
			row.Mark = v.W.T("mark.other")
		}
		v.Told = append(v.Told, row)
	}
	v.Person = v.W.T("drill.right", d.Right(), len(d.Told))
	v.Program = v.W.T("drill.program", program, len(d.Told))
	v.Line = page.Or(m.Line[v.W.Language()], m.Line["en"])
}

// say notes what the person says of a place.
func (s Room) say(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(w, r); err != nil {
		return err
	}
	d, err := s.found(r)
	if err != nil {
		return err
	}
	if err := s.book.Say(r.Context(), s.Actor(r), d.ID, drill.Place(r.PostFormValue("place")), drill.Answer(r.PostFormValue("answer"))); err != nil {
		return s.cannot(r, err)
	}
	return page.Back(w, r, page.Join("drill", d.ID))
}

// end runs the check, as far as the person is concerned, and tells.
func (s Room) end(w http.ResponseWriter, r *http.Request) error {
	d, err := s.found(r)
	if err != nil {
		return err
	}
	m, ready, err := s.book.Made(d)
	if err != nil {
		return err
	}
	if ready {
		if err := s.book.End(r.Context(), s.Actor(r), d.ID, m); err != nil {
			return s.cannot(r, err)
		}
	}
	return page.Back(w, r, page.Join("drill", d.ID))
}

// cannot puts into words why something cannot be done.
func (s Room) cannot(r *http.Request, err error) error {
	w := s.Words(r)
	switch {
	case errors.Is(err, drill.ErrOver):
		return &work.Problem{What: w.T("drill.over")}
	case errors.Is(err, drill.ErrNotYet):
		return &work.Problem{What: w.T("drill.not.yet")}
	case errors.Is(err, drill.ErrChoices):
		return &work.Problem{What: w.T("fail.choice")}
	}
	return err
}

// picture serves a picture of a place; what was there is marked on it only once it is told.
func (s Room) picture(w http.ResponseWriter, r *http.Request) error {
	d, err := s.found(r)
	if err != nil {
		return err
	}
	m, ready, err := s.book.Made(d)
	if err != nil {
		return err
	}
	n, bad := strconv.Atoi(r.PathValue("n"))
	if !ready || bad != nil {
		return page.ErrNotThere
	}
	data, ok := m.Picture(drill.Place(r.PathValue("place")), n, d.Done())
	if !ok {
		return page.ErrNotThere
	}
	w.Header().Set("Content-Type", "image/png")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}
