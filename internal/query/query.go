// Package query knows how it stands with what a laboratory asks about a case: one thread
// with one owner and a day by which it is to be answered. It computes a thread from the
// steps that were taken, and knows no clock; whoever asks brings the day.
package query

import (
	"time"

	"selvage/calendar"
	"selvage/internal/turnaround"
)

// What is what happened in a thread.
type What string

// The steps. An answer, a further parcel, an acceptance and a refusal close what is open.
const (
	Asked    What = "asked"
	Said     What = "said"  // noted on the way to an answer: who was called, and what they said
	Taken    What = "taken" // somebody else answers for it from now on
	Answered What = "answered"
	Sent     What = "sent" // a parcel went to the laboratory
	Accepted What = "accepted"
	Refused  What = "refused"
)

// Role is whom a question is put to.
type Role string

// The roles.
const (
	Dentist   Role = "dentist"
	Assistant Role = "assistant"
)

// dentists are the reasons of a query that only who prepared the tooth can answer: where
// the margin is, what may be cut, what the crown is made of. Files, records, shade and
// dates are the assistant's.
var dentists = map[string]bool{
	"margin-unclear": true, "bite-doubtful": false, "space-short": true, "undercut": true, "material": true,
	"surface-missing": false, "shade": false, "date": false, "prescription-incomplete": false, "file-unreadable": false, "other": false,
}

// RoleOf returns whom a query of a reason is put to, and whether the reason is known; what
// is not known is put to the assistant, who finds out.
func RoleOf(reason string) (r Role, known bool) {
	dentist, known := dentists[reason]
	if dentist {
		return Dentist, known
	}
	return Assistant, known
}

// Step is one thing that happened in a thread.
type Step struct {
	What   What      `json:"what"`
	At     time.Time `json:"at"`
	By     string    `json:"by,omitempty"`     // who did or noted it here
	From   string    `json:"from,omitempty"`   // who speaks for the laboratory
	Phoned bool      `json:"phoned,omitempty"` // it was said on the telephone
	Reason string    `json:"reason,omitempty"`
	Text   string    `json:"text,omitempty"`
	Due    string    `json:"due,omitempty"`   // the day that the laboratory names
	To     Role      `json:"to,omitempty"`    // of a question
	Owner  string    `json:"owner,omitempty"` // of a question, or who takes it over
	Until  string    `json:"until,omitempty"` // of a question: the day by which it is to be answered

	Earlier bool `json:"earlier,omitempty"` // it answers a parcel before the last one, and settles nothing
}

// Thread is how it stands with a case's queries.
type Thread struct {
	Steps []Step // all of them, in order
	Open  []Step // the questions that nobody answered yet, the first first
	Owner string // who answers for the open ones
	To    Role   // whom they are put to: the dentist where one of them is
	Until string // the earliest day by which one of them is to be answered
	Spans []Span // when questions were open, in order
}

// Span is a time in which a question was open.
type Span struct {
	From, To time.Time // To: zero while it is open
}

// Of computes a thread from its steps, which are in the order in which they happened.
func Of(steps []Step) Thread {
	t := Thread{Steps: steps}
	for _, s := range steps {
		if s.Earlier {
			continue
		}
		switch s.What {
		case Asked:
			t.ask(s)
		case Taken:
			if len(t.Open) > 0 {
				t.Owner = s.Owner
			}
		case Answered, Sent, Accepted, Refused:
			if len(t.Open) > 0 {
				t.Spans[len(t.Spans)-1].To = s.At
			}
			t.Open, t.Owner, t.To, t.Until = nil, "", "", ""
		}
	}
	return t
}

// ask adds a question. WHY a further one keeps owner and day: it is the same thread, and a
// laboratory that asks more is not to wait longer.
func (t *Thread) ask(s Step) {
	if len(t.Open) == 0 {
		t.Owner, t.Spans = s.Owner, append(t.Spans, Span{From: s.At})
	}
	if s.To == Dentist || t.To == "" {
		t.To = s.To
	}
	if t.Until == "" || s.Until != "" && s.Until < t.Until {
		t.Until = s.Until
	}
	t.Open = append(t.Open, s)
}

// Waits reports whether a question is open.
func (t Thread) Waits() bool { return len(t.Open) > 0 }

// Overdue reports whether a question is open after the day by which it was to be answered.
func (t Thread) Overdue(today calendar.Date) bool {
	until, err := calendar.Parse(t.Until)
	return t.Waits() && err == nil && until < today
}

// Pauses returns the times in which questions were open after a moment, on the clock of at:
// while one is, the working days of the laboratory do not count.
func (t Thread) Pauses(after time.Time, at func(time.Time) turnaround.Moment) []turnaround.Pause {
	var out []turnaround.Pause
	for _, s := range t.Spans {
		if !s.From.After(after) {
			continue
		}
		p := turnaround.Pause{Asked: at(s.From), Open: s.To.IsZero()}
		if !p.Open {
			p.Answered = at(s.To)
		}
		out = append(out, p)
	}
	return out
}

// Until returns the day by which a question of a day is to be answered: so many working
// days later.
func Until(week calendar.Week, asked calendar.Date, days int) (calendar.Date, error) {
	return week.Add(asked, max(days, 0))
}
