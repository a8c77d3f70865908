package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/holiday"
	"selvage/internal/prescription"
	"selvage/internal/sheet"
	"selvage/internal/work"
)

// profileView is the page of the practice's profile, or of a laboratory's.
type profileView struct {
	frame
	Practice prescription.Practice
	Labs     []prescription.Laboratory
	Lab      prescription.Laboratory
	Rules    []choice
	Regions  []choice
	Free     []choice
	Requires []choice
	Contacts []choice
	Short    []choice
	Sub      []choice
	Signers  string // one dentist a line, with the licence after a comma
	Closed   string
}

func (s *Server) profileRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /practice", s.page(s.showPractice))
	mux.HandleFunc("POST /practice", s.page(s.setPractice))
	mux.HandleFunc("GET /laboratory/{key}", s.page(s.showLaboratory))
	mux.HandleFunc("POST /laboratory/{key}", s.page(s.setLaboratory))
}

func (s *Server) profileView(r *http.Request) (profileView, error) {
	v := profileView{frame: s.frame(r)}
	book, err := s.desk.Profiles(r.Context())
	v.Practice, v.Labs = book.Practice, book.Laboratories
	return v, err
}

func (v *profileView) calendar(region holiday.Region, free []calendar.Weekday, closed []string) {
	v.Regions = append(v.Regions, choice{Name: v.W.T("unknown"), Chosen: region == ""})
	for _, r := range holiday.Regions() {
		v.Regions = append(v.Regions, choice{Value: string(r), Name: string(r), Chosen: r == region})
	}
	if free == nil {
		free = []calendar.Weekday{calendar.Saturday, calendar.Sunday}
	}
	for d := calendar.Monday; d <= calendar.Sunday; d++ {
		v.Free = append(v.Free, choice{Value: strconv.Itoa(int(d)), Name: v.W.T("weekday." + strconv.Itoa(int(d))), Chosen: slices.Contains(free, d)})
	}
	v.Closed = strings.Join(closed, " ")
}

func (s *Server) showPractice(w http.ResponseWriter, r *http.Request) error {
	v, err := s.profileView(r)
	if err != nil {
		return err
	}
	v.Title = v.W.T("practice.title")
	p := v.Practice
	v.calendar(p.Region, p.Free, p.Closed)
	v.Rules = append(v.Rules, choice{Name: v.W.T("unknown"), Chosen: p.Rule == ""})
	for _, o := range prescription.Rules() {
		v.Rules = append(v.Rules, choice{Value: o.Key, Name: ruleName(v.W, o.Key), Chosen: o.Key == p.Rule})
	}
	var lines []string
	for _, d := range p.Prescribers {
		lines = append(lines, d.Name+", "+d.Licence)
	}
	v.Signers = strings.Join(lines, "\n")
	return s.render(w, http.StatusOK, "practice", v)
}

// days reads days written as 2026-05-04, with anything between them.
func days(w Words, text string) ([]string, error) {
	var out []string
	for _, f := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ' ' || c == '\n' || c == '\r' }) {
		d, err := calendar.Parse(f)
		if err != nil {
			return nil, &work.Problem{What: w.Said(err.Error()), Try: w.T("plan.wrong.try")}
		}
		out = append(out, d.String())
	}
	return out, nil
}

// weekdays reads which days of the week are free.
func weekdays(r *http.Request) []calendar.Weekday {
	var out []calendar.Weekday
	for _, v := range r.PostForm["free"] {
		if n, err := strconv.Atoi(v); err == nil && n >= 0 && n < 7 {
			out = append(out, calendar.Weekday(n))
		}
	}
	if len(out) == 7 {
		return nil // a house that is never open is a slip
	}
	return out
}

func (s *Server) setPractice(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	get := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	closed, err := days(wordsFor(r), get("closed"))
	if err != nil {
		return err
	}
	p := prescription.Practice{
		Name: get("name"), Address: get("address"), Phone: get("phone"), Contact: get("contact"), Rule: get("rule"),
		Region: holiday.Region(get("region")), Free: weekdays(r), Closed: closed,
	}
	for _, line := range strings.Split(get("signers"), "\n") {
		name, licence, _ := strings.Cut(line, ",")
		if name = strings.TrimSpace(name); name != "" {
			p.Prescribers = append(p.Prescribers, prescription.Prescriber{Name: name, Licence: strings.TrimSpace(licence)})
		}
	}
	if err := s.desk.SetPractice(r.Context(), actor(r), p); err != nil {
		return err
	}
	return back(w, r, "/practice")
}

func (s *Server) showLaboratory(w http.ResponseWriter, r *http.Request) error {
	v, err := s.profileView(r)
	if err != nil {
		return err
	}
	if key := r.PathValue("key"); key != "new" {
		i := slices.IndexFunc(v.Labs, func(l prescription.Laboratory) bool { return l.Key == key })
		if i < 0 {
			return errNotThere
		}
		v.Lab = v.Labs[i]
	}
	l := v.Lab
	v.Title = or(l.Name, v.W.T("laboratory.new"))
	v.calendar(l.Region, l.Free, l.Closed)
	for _, f := range prescription.Fields() {
		v.Requires = append(v.Requires, choice{Value: string(f), Name: v.W.T("field." + string(f)), Chosen: slices.Contains(l.Requires, f)})
	}
	add := func(to *[]choice, words, now string, all []string) {
		*to = append(*to, choice{Name: v.W.T("unknown"), Chosen: now == ""})
		for _, o := range all {
			*to = append(*to, choice{Value: o, Name: v.W.T(words + o), Chosen: o == now})
		}
	}
	add(&v.Contacts, "contact.", l.Contacts, sheet.Contacts())
	add(&v.Short, "short.", string(l.IfShort), texts(casefile.SpaceChoices()))
	add(&v.Sub, "sub.", string(l.Subcontract), texts(casefile.SubcontractChoices()))
	return s.render(w, http.StatusOK, "laboratory", v)
}

func (s *Server) setLaboratory(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	words := wordsFor(r)
	get := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	closed, err := days(words, get("closed"))
	if err != nil {
		return err
	}
	l := prescription.Laboratory{
		Name: get("name"), Address: get("address"), Licence: get("licence"), Phone: get("phone"),
		Region: holiday.Region(get("region")), Free: weekdays(r), Closed: closed, CutOff: get("cut_off"),
		Contacts: get("contacts"), IfShort: casefile.IfSpaceShort(get("if_space_short")), Subcontract: casefile.Subcontracting(get("subcontracting")),
		FilesOnly: get("files_only") != "", Left: get("left") != "", Recipient: get("recipient"),
	}
	if key := r.PathValue("key"); key != "new" {
		book, err := s.desk.Profiles(r.Context())
		if err != nil {
			return err
		}
		i := slices.IndexFunc(book.Laboratories, func(o prescription.Laboratory) bool { return o.Key == key })
		if i < 0 {
			return errNotThere
		}
		l.Key, l.DaysBy = key, book.Laboratories[i].DaysBy
	}
	for name, to := range map[string]*int{"days": &l.Days, "rush_days": &l.RushDays, "back": &l.Back} {
		n, err := strconv.Atoi(or(get(name), "0"))
		if err != nil || n < 0 || n > 99 {
			return &work.Problem{What: words.T("plan.wrong", words.T("laboratory."+name), get(name)), Try: words.T("plan.wrong.try")}
		}
		*to = n
	}
	for _, f := range r.PostForm["requires"] {
		if !slices.Contains(prescription.Fields(), prescription.Field(f)) {
			return &work.Problem{What: words.T("fail.choice")}
		}
		l.Requires = append(l.Requires, prescription.Field(f))
	}
	if l.Contacts != "" && !slices.Contains(sheet.Contacts(), l.Contacts) ||
		l.IfShort != "" && !slices.Contains(casefile.SpaceChoices(), l.IfShort) ||
		l.Subcontract != "" && !slices.Contains(casefile.SubcontractChoices(), l.Subcontract) {
		return &work.Problem{What: words.T("fail.choice")}
	}
	if err := s.desk.SetLaboratory(r.Context(), actor(r), l); err != nil {
		return err
	}
	return back(w, r, "/practice")
}

func texts[T ~string](all []T) []string {
	out := make([]string, len(all))
	for i, v := range all {
		out[i] = string(v)
	}
	return out
}
