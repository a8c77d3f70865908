package web

import (
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"selvage/internal/exchange"
	"selvage/internal/mill"
	"selvage/internal/people"
	"selvage/internal/prescription"
	"selvage/internal/web/seat"
	"selvage/internal/web/way"
	"selvage/internal/work"
	"selvage/measure"
	"selvage/tooth"
)

// handOffView is the page on which a case is handed over, and answered.
type handOffView struct {
	frame
	Case    work.Case
	Tooth   string
	Blocked []blockRow
	Sent    []sentRow
	Thread  []way.Line
	Query   *way.Query // that waits; nil: none
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
	Papers  string // what the law wants with the work
	Device  string // identifier or lot of the work, from its papers
	Seated  string // how the last visit to seat ended
	Temp    string // how long the temporary has been in place, or that it is loose
	Loose   bool
	Mind    bool // that is too long, or it is loose
	Mill    *millView
}

// millView is the release of a block, where the crown is made in the house.
type millView struct {
	Block   []string // the sides, as they were entered
	Last    []millBlock
	Doubts  []way.Doubt
	Stopped bool   // a reason is needed
	Was     string // the release that holds
	Void    bool   // there was one, and something newer came
}

// millBlock is a size that was released before.
type millBlock struct{ Name, Query string }

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

func (s *Server) handOffRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /case/{case}/order.pdf", s.page(s.workOrder))
	mux.HandleFunc("GET /case/{case}/hand-off", s.page(s.showHandOff))
	mux.HandleFunc("POST /case/{case}/hand-off", s.page(s.handOff))
	mux.HandleFunc("GET /case/{case}/hand-off/{n}/{file}", s.page(s.archive))
	mux.HandleFunc("POST /case/{case}/receipt", s.page(s.receipt))
	mux.HandleFunc("POST /case/{case}/answer", s.page(s.answerQuery))
	mux.HandleFunc("POST /case/{case}/mill", s.page(s.mill))
	mux.HandleFunc("POST /case/{case}/take", s.page(s.takeQuery))
	mux.HandleFunc("POST /case/{case}/temporary", s.page(s.temporary))
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
		case work.NotReleased:
			link = "#mill"
		}
		v.Blocked = append(v.Blocked, blockRow{string(b), v.W.T("block." + string(b)), link})
	}
	if p.Foreseen && len(c.Sent) > 0 {
		v.Due = v.W.T("hand.due", p.Forecast.Due.String())
		if p.Forecast.Waiting {
			v.Due += " " + v.W.T("hand.waiting")
		}
	}
	speak, err := s.speaker(r)
	if err != nil {
		return err
	}
	for _, q := range exchange.ReceiptReasons() {
		v.Reasons = append(v.Reasons, choice{Value: string(q), Name: speak.Said["reason."+string(q)]})
	}
	v.back(by, s.now().Local(), p)
	v.sent(by)
	v.Thread = speak.Thread(c.Thread, v.Lab)
	if len(p.Rule.Returns) > 0 {
		var all []string
		for _, x := range p.Rule.Returns {
			all = append(all, v.W.T("returns."+string(x)))
		}
		v.Papers = v.W.T("back.papers", ruleName(v.W, p.Rule.Key), strings.Join(all, ", "))
	}
	if v.Query, err = s.queryOf(r, c); err != nil {
		return err
	}
	if err := s.temp(r, &v); err != nil {
		return err
	}
	if v.Mill, err = s.millOf(r, speak, c, p); err != nil {
		return err
	}
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
	Rows   []way.Row
	Counts []way.Count
	More   int // that are not shown
}

// boardRows is how many cases the board shows: those that press most.
const boardRows = 200

func (s *Server) board(w http.ResponseWriter, r *http.Request) error {
	v := boardView{frame: s.frame(r)}
	v.Title = v.W.T("board.title")
	now := s.now().Local()
	rows, counts, err := s.desk.Board(r.Context(), boardRows, now)
	if err != nil {
		return err
	}
	day, err := s.desk.Day(r.Context(), now)
	if err != nil {
		return err
	}
	speak, err := s.speaker(r)
	if err != nil {
		return err
	}
	v.Rows, v.Counts = speak.Rows(rows, day), speak.Counts(counts)
	for _, c := range v.Counts {
		v.More += c.N
	}
	v.More -= len(v.Rows)
	return s.render(w, http.StatusOK, "board", v)
}

// speaker puts the way of cases into the words of who asks.
func (s *Server) speaker(r *http.Request) (way.Speaker, error) {
	w := wordsFor(r)
	by, err := s.names(r)
	if err != nil {
		return way.Speaker{}, err
	}
	said, err := exchange.Words(w.Lang)
	words := reportWords(w)
	return way.Speaker{
		Words: w, Said: said, By: by,
		Name: func(n tooth.Number) string { return fullTooth(w, n) },
		Measure: func(name string) string {
			if k := "measure.name." + name; w.text[k] != "" {
				return w.T(k)
			}
			return words.T("m." + name)
		},
		Number: func(v, u float64) string {
			if u == 0 {
				return w.number(strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)) + " mm"
			}
			return words.Number(measure.Of(v, u, measure.MM))
		},
	}, err
}

// queryOf returns the query of a case that waits for an answer, or nil.
func (s *Server) queryOf(r *http.Request, c work.Case) (*way.Query, error) {
	t := c.Queries()
	if !t.Waits() {
		return nil, nil
	}
	speak, err := s.speaker(r)
	if err != nil {
		return nil, err
	}
	me := visitorOf(r).person
	q := speak.Asked(t, way.Today(s.now().Local()), me.ID)
	q.ID, q.May = c.ID, me.May(people.Send)
	return q, nil
}

// temp tells how long the temporary has been in place, once that is worth a word.
func (s *Server) temp(r *http.Request, v *handOffView) error {
	day, err := s.desk.Day(r.Context(), s.now().Local())
	if err != nil {
		return err
	}
	f := v.Case.Facts()
	n, worth := day.Stays(f)
	v.Loose, v.Mind = f.Loose, f.Loose || day.TooLong(f) && !f.Over
	switch {
	case f.Loose:
		v.Temp = v.W.T("temp.is.loose")
	case v.Mind:
		v.Temp = v.W.T("temp.long", strconv.Itoa(n))
	case worth:
		v.Temp = v.W.T("temp.days", strconv.Itoa(n))
	}
	return nil
}

// blockOf reads the three sides of a block, mm; ok is false where they cannot be.
func blockOf(sides []string) (b mill.Block, ok bool) {
	if len(sides) != len(b) {
		return b, false
	}
	for i, t := range sides {
		n, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(t), ",", "."), 64)
		if err != nil || !(n > 0 && n <= 200) {
			return mill.Block{}, false
		}
		b[i] = n
	}
	return b, true
}

// millOf returns the release to the practice's own mill; nil where a laboratory makes it.
// The block is the one of the address, else that which was released last.
func (s *Server) millOf(r *http.Request, speak way.Speaker, c work.Case, p work.Plan) (*millView, error) {
	if !prescription.InHouse(c.Order) {
		return nil, nil
	}
	v := millView{Block: r.URL.Query()["side"]}
	last, err := s.desk.LastBlocks(r.Context(), c.Order.Restorations[0].Material)
	if err != nil {
		return nil, err
	}
	if len(v.Block) != 3 && len(last) > 0 {
		v.Block = sidesOf(last[0])
	}
	if len(v.Block) != 3 {
		v.Block = []string{"", "", ""}
	}
	for _, b := range last {
		t := sidesOf(b)
		v.Last = append(v.Last, millBlock{strings.Join(t, " × "), url.Values{"side": t}.Encode()})
	}
	b, _ := blockOf(v.Block)
	f, err := s.desk.Preflight(r.Context(), c, p, b)
	if err != nil {
		return nil, err
	}
	v.Doubts, v.Stopped = speak.Doubts(f.Doubts), f.Stopped()
	cut, current := c.Released()
	v.Void = len(c.Cuts) > 0 && !current
	if current {
		v.Was = speak.T("mill.was", minuteText(cut.At), speak.By(cut.By), strings.Join(sidesOf(cut.Block), " × "), cut.Lot)
		if cut.Reason != "" {
			v.Was += " " + cut.Reason
		}
	}
	return &v, nil
}

func sidesOf(b mill.Block) []string {
	var out []string
	for _, n := range b {
		out = append(out, strconv.FormatFloat(n, 'g', -1, 64))
	}
	return out
}

// mill releases a block to the practice's own mill.
func (s *Server) mill(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	c, p, err := s.planOf(r)
	if err != nil {
		return err
	}
	b, _ := blockOf(r.PostForm["side"]) // that none was named stops it
	reason := or(strings.TrimSpace(r.PostFormValue("else")), r.PostFormValue("reason"))
	if err := s.desk.Release(r.Context(), actor(r), c.ID, p, b, r.PostFormValue("lot"), reason); err != nil {
		return err
	}
	return back(w, r, join("case", c.ID, "hand-off"))
}

// temporary notes that the temporary is loose or lost, or back on.
func (s *Server) temporary(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	if err := s.desk.NoteTemporary(r.Context(), actor(r), id, r.PostFormValue("is") == "loose"); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}

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
		_, p, err := s.planOf(r)
		if err != nil {
			return err
		}
		rec = exchange.Receipt{
			Schema: exchange.ReceiptSchema, Answer: exchange.Answer(r.PostFormValue("answer")), Reason: exchange.Reason(r.PostFormValue("reason")),
			Text: strings.TrimSpace(r.PostFormValue("text")), By: or(p.Order.Laboratory.Name, wordsFor(r).T("field.laboratory.name")), At: s.now().UTC().Format(time.RFC3339),
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
			return &work.Problem{What: wordsFor(r).Said(err.Error()), Try: wordsFor(r).T("hand.receipt.try")}
		}
	}
	if err := s.desk.NoteReceipt(r.Context(), actor(r), id, rec, telephone, s.now().Local()); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}

func (s *Server) answerQuery(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	do := s.desk.Answer
	if r.PostForm.Has("say") {
		do = s.desk.NoteQuery // on the way to an answer
	}
	if err := do(r.Context(), actor(r), id, r.PostFormValue("text"), number(r, "asks")); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}

// takeQuery lets who asks answer for the query from now on.
func (s *Server) takeQuery(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	if err := s.desk.TakeQuery(r.Context(), actor(r), id); err != nil {
		return err
	}
	return back(w, r, join("case", id, "hand-off"))
}
