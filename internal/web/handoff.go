package web

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"selvage/internal/exchange"
	"selvage/internal/prescription"
	"selvage/internal/web/seat"
	"selvage/internal/work"
)

// handOffView is the page on which a case is handed over, and answered.
type handOffView struct {
	frame
	Case    work.Case
	Tooth   string
	Blocked []blockRow
	Sent    []sentRow
	Thread  []threadRow
	Asked   string // the query that waits
	Reasons []choice
	Sealed  string // fingerprint of the practice's seal
	Key     bool   // the laboratory has a key to encrypt to
	Lab     string
	Due     string
	Any     []string
	Points  []choice
	Back    string // when it came back, and what is not sound
	Whole   bool   // it was inspected, and all of it is sound
	Chase   string // that it should be here by now
	Device  string // identifier or lot of the work, from its papers
	Seated  string // how the last visit to seat ended
}

type blockRow struct{ Key, Text, Link string }

type sentRow struct {
	N                 int
	At, By, Text      string
	Archive           string // name of the file
	Size, Sealed      string
	Said              []string
	Files             []work.SentFile
	Parcel            string
	Encrypted, Latest bool
}

type threadRow struct{ At, By, Text string }

func (s *Server) handOffRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /case/{case}/order.pdf", s.page(s.workOrder))
	mux.HandleFunc("GET /case/{case}/hand-off", s.page(s.showHandOff))
	mux.HandleFunc("POST /case/{case}/hand-off", s.page(s.handOff))
	mux.HandleFunc("GET /case/{case}/hand-off/{n}/{file}", s.page(s.archive))
	mux.HandleFunc("POST /case/{case}/receipt", s.page(s.receipt))
	mux.HandleFunc("POST /case/{case}/answer", s.page(s.answerQuery))
	mux.HandleFunc("POST /case/{case}/returned", s.page(s.returned))
	mux.HandleFunc("GET /board", s.page(s.board))
}

// wish is how parcels and papers are wanted by who asks.
func (s *Server) wish(r *http.Request) (work.Wish, error) {
	by, err := s.names(r)
	lang := wordsFor(r).Lang
	if err != nil {
		return work.Wish{}, err
	}
	words, err := prescription.Words(lang)
	return work.Wish{Lang: lang, Name: by, Version: s.version, Words: words}, err
}

// planOf returns a case and its prescription.
func (s *Server) planOf(r *http.Request) (work.Case, work.Plan, error) {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return c, work.Plan{}, err
	}
	p, err := s.desk.Plan(r.Context(), c, visitorOf(r).person.Name, s.now().Local())
	return c, p, err
}

// workOrder serves the work order as it stands.
func (s *Server) workOrder(w http.ResponseWriter, r *http.Request) error {
	c, p, err := s.planOf(r)
	if err != nil {
		return err
	}
	wish, err := s.wish(r)
	if err != nil {
		return err
	}
	if len(p.Order.Restorations) == 0 {
		return &work.Problem{What: wordsFor(r).T("tooth.first"), Try: wordsFor(r).T("tooth.which")}
	}
	data, err := s.desk.WorkOrder(r.Context(), c, p, wish)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), c.ID, "work-order"); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="`+exchange.Base(exchange.Teeth(p.Order))+`_work-order.pdf"`)
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

func (s *Server) showHandOff(w http.ResponseWriter, r *http.Request) error {
	c, p, err := s.planOf(r)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), c.ID, "hand-off"); err != nil {
		return err
	}
	v := handOffView{frame: s.frame(r), Case: c, Tooth: toothWords(wordsFor(r), c), Sealed: s.desk.SealedBy(), Any: anyway}
	v.Title = v.W.T("hand.title")
	v.Lab, v.Key = p.Order.Laboratory.Name, p.Lab.Recipient != ""
	by, err := s.names(r)
	if err != nil {
		return err
	}
	for _, b := range c.Blocked(p) {
		link := join("case", c.ID)
		switch b {
		case work.NotSigned, work.Lacking:
			link = join("case", c.ID, "plan")
		case work.NotAccepted:
			link = join("case", c.ID, "dentist")
		}
		v.Blocked = append(v.Blocked, blockRow{string(b), v.W.T("block." + string(b)), link})
	}
	if p.Foreseen && len(c.Sent) > 0 {
		v.Due = v.W.T("hand.due", p.Forecast.Due.String())
		if p.Forecast.Waiting {
			v.Due += " " + v.W.T("hand.waiting")
		}
	}
	said, err := exchange.Words(v.W.Lang)
	if err != nil {
		return err
	}
	for _, q := range exchange.ReceiptReasons() {
		v.Reasons = append(v.Reasons, choice{Value: string(q), Name: said["reason."+string(q)]})
	}
	v.back(by, s.now().Local(), p)
	v.sent(by)
	v.thread(by, said)
	return s.render(w, http.StatusOK, "hand-off", v)
}

// back tells whether the work is in the building and inspected.
func (v *handOffView) back(by func(string) string, now time.Time, p work.Plan) {
	var last work.Returned
	if n := len(v.Case.Back); n > 0 {
		last = v.Case.Back[n-1]
		v.Back, v.Whole = v.W.T("back.came", last.Day, by(last.By)), last.Inspected()
		if last.Text != "" {
			v.Back += " " + last.Text
		}
		v.Device = last.Device
	} else if due := p.Order.Dates.Due; len(v.Case.Sent) > 0 && due != "" && now.Format(time.DateOnly) > due {
		v.Chase = v.W.T("back.late", due)
	}
	if n := len(v.Case.Visits); n > 0 {
		v.Seated = seat.Text(v.W, v.Case.Visits[n-1], by)
	}
	for _, q := range work.Points() {
		v.Points = append(v.Points, choice{Value: string(q), Name: v.W.T("point." + string(q)), Chosen: slices.Contains(last.Sound, q)})
	}
}

// returned notes that the work came back, and what was looked at.
func (s *Server) returned(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	var sound []work.Point
	for _, v := range r.PostForm["sound"] {
		sound = append(sound, work.Point(v))
	}
	if err := s.desk.Return(r.Context(), actor(r), id, sound, r.PostFormValue("text"), r.PostFormValue("device"), s.now().Local()); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}

// boardView is the board: the cases on their way, the most pressing first.
type boardView struct {
	frame
	Rows []boardRow
}

type boardRow struct{ ID, Name, Tooth, Word, Mark, Dates, Lab string }

// boardCases is how many cases the board looks at: those that changed last.
const boardCases = 500

func (s *Server) board(w http.ResponseWriter, r *http.Request) error {
	v := boardView{frame: s.frame(r)}
	v.Title = v.W.T("board.title")
	rows, err := s.desk.Board(r.Context(), boardCases, s.now().Local())
	if err != nil {
		return err
	}
	for _, b := range rows {
		d := b.Case.Order.Dates
		row := boardRow{
			ID: b.Case.ID, Name: or(b.Case.Name, v.W.T("unnamed")), Tooth: toothWords(v.W, b.Case),
			Word: v.W.T("stand." + string(b.Standing)), Mark: v.W.T("stand." + string(b.Standing) + ".do"), Lab: b.Case.Order.Laboratory.Name,
		}
		for _, x := range [][2]string{{"due", d.Due}, {"seat", d.Seat}} {
			if x[1] != "" {
				row.Dates += v.W.T("field.dates."+x[0]) + " " + x[1] + "  "
			}
		}
		v.Rows = append(v.Rows, row)
	}
	return s.render(w, http.StatusOK, "board", v)
}

func minuteText(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

func (v *handOffView) sent(by func(string) string) {
	for i, x := range v.Case.Sent {
		row := sentRow{
			N: i, At: minuteText(x.At), By: by(x.By), Text: v.W.T("hand.made", strconv.Itoa(x.Version)), Archive: x.Name, Size: megabytes(x.Bytes),
			Sealed: x.Sealed, Said: x.Said, Files: x.Files, Encrypted: x.Encrypted, Latest: i == len(v.Case.Sent)-1,
		}
		if x.Elsewhere {
			row.Text, row.Archive = v.W.T("hand.elsewhere"), ""
		}
		if len(x.Parcel) > 16 {
			row.Parcel = x.Parcel[:16]
		}
		v.Sent = append(v.Sent, row)
	}
	slices.Reverse(v.Sent)
}

// thread tells what the laboratory said and was told, in order.
func (v *handOffView) thread(by func(string) string, said map[string]string) {
	type dated struct {
		at time.Time
		threadRow
	}
	var all []dated
	for _, n := range v.Case.Notes {
		text := said["answer."+string(n.Receipt.Answer)]
		if n.Receipt.Reason != "" {
			text += ": " + said["reason."+string(n.Receipt.Reason)]
		}
		if n.Receipt.Text != "" {
			text += " · " + n.Receipt.Text
		}
		if n.Receipt.Due != "" {
			text += " · " + v.W.T("field.dates.due") + " " + n.Receipt.Due
		}
		who := n.Receipt.By
		if n.Telephone {
			who = v.W.T("hand.telephone", or(n.Receipt.By, v.Lab), by(n.By))
		}
		all = append(all, dated{n.At, threadRow{minuteText(n.At), who, text}})
	}
	for _, a := range v.Case.Answers {
		all = append(all, dated{a.At, threadRow{minuteText(a.At), by(a.By), a.Text}})
	}
	slices.SortStableFunc(all, func(a, b dated) int { return a.at.Compare(b.at) })
	for _, d := range all {
		v.Thread = append(v.Thread, d.threadRow)
	}
	if n, open := v.Case.Asked(); open {
		v.Asked = or(n.Receipt.Text, said["reason."+string(n.Receipt.Reason)])
	}
}

// handOff makes a parcel, or notes that the case went another way.
func (s *Server) handOff(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	c, p, err := s.planOf(r)
	if err != nil {
		return err
	}
	if r.PostFormValue("do") == "elsewhere" {
		err = s.desk.SentElsewhere(r.Context(), actor(r), c.ID)
	} else {
		if b := c.Blocked(p); len(b) > 0 {
			return &work.Problem{What: wordsFor(r).T("block." + string(b[0])), Try: wordsFor(r).T("block.try")}
		}
		var wish work.Wish
		if wish, err = s.wish(r); err != nil {
			return err
		}
		wish.Scrub, wish.Seal, wish.Encrypt = r.PostForm.Has("scrub"), r.PostForm.Has("seal"), r.PostForm.Has("encrypt")
		err = s.desk.HandOff(r.Context(), actor(r), c.ID, p, wish, s.now())
	}
	if err != nil {
		return err
	}
	return back(w, r, join("case", c.ID, "hand-off"))
}

// archive serves a parcel that was made.
func (s *Server) archive(w http.ResponseWriter, r *http.Request) error {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil || n < 0 || n >= len(c.Sent) || c.Sent[n].Name == "" || c.Sent[n].Name != r.PathValue("file") {
		return errNotThere
	}
	data, err := s.desk.Archive(r.Context(), c.Sent[n])
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), c.ID, "parcel"); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	if c.Sent[n].Encrypted {
		w.Header().Set("Content-Type", "application/octet-stream")
	}
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s"`, c.Sent[n].Name))
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

// maxReceipt bounds the file that a laboratory sends back.
const maxReceipt = 64 << 10

// receipt notes what the laboratory answered: its file, or a tap while it is on the
// telephone.
func (s *Server) receipt(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 4*maxReceipt)
	id := r.PathValue("case")
	var rec exchange.Receipt
	telephone := !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data")
	if telephone {
		if err := r.ParseForm(); err != nil {
			return err
		}
		c, err := s.desk.Case(r.Context(), id)
		if err != nil {
			return err
		}
		rec = exchange.Receipt{
			Schema: exchange.ReceiptSchema, Answer: exchange.Answer(r.PostFormValue("answer")), Reason: exchange.Reason(r.PostFormValue("reason")),
			Text: strings.TrimSpace(r.PostFormValue("text")), By: or(c.Order.Laboratory.Name, wordsFor(r).T("field.laboratory.name")), At: s.now().UTC().Format(time.RFC3339),
		}
		if rec.Answer == exchange.Accept {
			rec.Reason = ""
		}
	} else {
		f, _, err := r.FormFile("receipt")
		if err != nil {
			return &work.Problem{What: wordsFor(r).T("fail.nofile"), Try: wordsFor(r).T("hand.receipt.try")}
		}
		defer func() { _ = r.MultipartForm.RemoveAll() }()
		data, err := io.ReadAll(io.LimitReader(f, maxReceipt))
		if err != nil {
			return err
		}
		if rec, err = exchange.ParseReceipt(data); err != nil {
			return &work.Problem{What: err.Error(), Try: wordsFor(r).T("hand.receipt.try")}
		}
	}
	if err := s.desk.NoteReceipt(r.Context(), actor(r), id, rec, telephone); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}

func (s *Server) answerQuery(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	if err := s.desk.Answer(r.Context(), actor(r), id, r.PostFormValue("text")); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}
