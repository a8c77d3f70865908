// Package way puts into words where cases stand on their way: what a laboratory asks, what
// was said, and the board. It knows nothing of pages.
package way

import (
	"strconv"
	"time"

	"selvage/calendar"
	"selvage/internal/mill"
	"selvage/internal/query"
	"selvage/internal/track"
	"selvage/tooth"
)

// Words is a catalogue in the reader's language.
type Words interface {
	T(key string, args ...any) string
}

// Speaker is what is needed to put a case's way into words.
type Speaker struct {
	Words
	Said map[string]string           // the words of receipts
	By   func(actor string) string   // what people are called
	Name func(n tooth.Number) string // of a tooth

	Measure func(name string) string  // what a measure of a report is called
	Number  func(v, u float64) string // with its uncertainty, where it has one, mm
}

// Query is a query that waits for an answer.
type Query struct {
	ID    string // of the case
	Asks  []string
	To    string // whom it is put to
	Owner string
	Until string // by when, or that it is overdue
	Late  bool
	Mine  bool // who looks at it answers for it
	May   bool // and may answer
}

// Asked returns the query of a thread that waits, or nil.
func (s Speaker) Asked(t query.Thread, today calendar.Date, me string) *Query {
	if !t.Waits() {
		return nil
	}
	q := Query{To: s.T("query.to." + string(t.To)), Owner: s.T("query.owner", s.By(t.Owner)), Late: t.Overdue(today), Mine: t.Owner == me}
	for _, o := range t.Open {
		q.Asks = append(q.Asks, s.why(o))
	}
	switch {
	case q.Late:
		q.Until = s.T("query.overdue", t.Until)
	case t.Until != "":
		q.Until = s.T("query.until", t.Until)
	}
	return &q
}

// why is what a step is about, in words.
func (s Speaker) why(o query.Step) string {
	text := ""
	if o.Reason != "" {
		text = s.Said["reason."+o.Reason]
	}
	if o.Text != "" && text != "" {
		text += " · "
	}
	return text + o.Text
}

// Line is one step of a thread.
type Line struct{ At, By, Text string }

// Thread tells what was sent, asked and answered, in order. lab is what the laboratory is
// called where nobody said who speaks.
func (s Speaker) Thread(steps []query.Step, lab string) []Line {
	var out []Line
	for _, o := range steps {
		l := Line{At: o.At.Local().Format("2006-01-02 15:04"), By: s.By(o.By), Text: o.Text}
		switch o.What {
		case query.Asked, query.Accepted, query.Refused:
			l.By = o.From
			if o.Phoned {
				from := o.From
				if from == "" {
					from = lab
				}
				l.By = s.T("hand.telephone", from, s.By(o.By))
			}
			l.Text = s.Said["answer."+answers[o.What]]
			if w := s.why(o); w != "" {
				l.Text += ": " + w
			}
			if o.Due != "" {
				l.Text += " · " + s.T("field.dates.due") + " " + o.Due
			}
			if o.Earlier {
				l.Text += " · " + s.T("query.earlier")
			}
		case query.Taken:
			l.Text = s.T("query.taken")
		case query.Sent:
			l.Text = s.T("query.sent")
		}
		out = append(out, l)
	}
	return out
}

// answers are what a receipt calls what a laboratory says.
var answers = map[query.What]string{query.Asked: "query", query.Accepted: "accept", query.Refused: "refuse"}

// Row is one case on the board.
type Row struct {
	ID, Name, Tooth, Word, Mark, Lab string
	Dates                            []string
}

// Rows puts the rows of a board into words.
func (s Speaker) Rows(rows []track.Row, d track.Day) []Row {
	var out []Row
	for _, b := range rows {
		f := b.Facts
		row := Row{ID: b.ID, Name: f.Name, Word: s.T("stand." + string(b.Standing)), Mark: s.T("stand." + string(b.Standing) + ".do"), Lab: f.Lab}
		if row.Name == "" {
			row.Name = s.T("unnamed")
		}
		if f.Tooth.Valid() {
			row.Tooth = s.Name(f.Tooth)
		}
		if f.Asked && (b.Standing == track.StandAsked || b.Standing == track.StandOverdue) {
			row.Mark += " " + s.T("query.to."+string(f.To)) + " · " + s.T("query.owner", s.By(f.Owner))
			if f.Until != 0 {
				row.Mark += " · " + s.T("query.until", f.Until.String())
			}
		}
		if n, worth := d.Stays(f); worth {
			row.Mark += " " + s.T("temp.days", strconv.Itoa(n))
		}
		for _, x := range []struct {
			key string
			day calendar.Date
		}{{"due", f.Due}, {"seat", f.Seat}} {
			if x.day != 0 {
				row.Dates = append(row.Dates, s.T("field.dates."+x.key)+" "+x.day.String())
			}
		}
		out = append(out, row)
	}
	return out
}

// Count is how many cases have a standing.
type Count struct {
	Word  string
	N     int
	Chase bool // somebody here has to do something today
}

// Counts lists how many cases there are of each standing, in the order of risk.
func (s Speaker) Counts(of map[track.Standing]int) []Count {
	var out []Count
	for _, k := range track.Standings() {
		if n := of[k]; n > 0 {
			out = append(out, Count{Word: s.T("stand." + string(k)), N: n, Chase: k.Chased()})
		}
	}
	return out
}

// Chased counts the cases for which somebody here has to do something today.
func Chased(of map[track.Standing]int) int {
	n := 0
	for k, c := range of {
		if k.Chased() {
			n += c
		}
	}
	return n
}

// Today is the day of a moment.
func Today(now time.Time) calendar.Date {
	d, _ := calendar.New(now.Year(), int(now.Month()), now.Day()) // a time's day is in the calendar
	return d
}

// Doubt is one thing that speaks against cutting a block.
type Doubt struct {
	Text  string
	Stops bool
}

// Doubts puts what speaks against cutting a block into words, with the numbers.
func (s Speaker) Doubts(all []mill.Doubt) []Doubt {
	var out []Doubt
	for _, d := range all {
		t := s.T("mill." + string(d.Code))
		if d.What != "" {
			t = s.T("mill."+string(d.Code), s.Measure(d.What))
		}
		if d.Need > 0 {
			t += " " + s.T("mill.numbers", s.Number(d.Is, d.U), s.Number(d.Need, 0))
		}
		out = append(out, Doubt{t, d.Stops})
	}
	return out
}
