package work

import (
	"context"
	"slices"
	"strings"
	"time"

	"selvage/internal/exchange"
	"selvage/internal/query"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/turnaround"
	"selvage/limit"
)

// The events of what a laboratory says, and is told.
const (
	kindReceipt  = "receipt-noted"  // Noted
	kindAnswered = "query-answered" // said
	kindNoted    = "query-said"     // said
	kindTaken    = "query-taken"    // struct{}; whoever acts answers for it
)

// Noted is what the laboratory answered, by its file or on the telephone. A query has an
// owner, a role that it is put to and a day by which it is to be answered from the moment in
// which it is noted.
type Noted struct {
	Receipt   exchange.Receipt `json:"receipt"`
	Telephone bool             `json:"telephone,omitempty"`
	To        query.Role       `json:"to,omitempty"`
	Until     string           `json:"until,omitempty"`

	By string    `json:"noted_by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// said is what was answered, or noted on the way to an answer.
type said struct {
	Text string `json:"text"`
}

// whats are what the laboratory's answers are in a thread.
var whats = map[exchange.Answer]query.What{exchange.Accept: query.Accepted, exchange.Query: query.Asked, exchange.Refuse: query.Refused}

// step puts what the laboratory said into the thread.
func (n Noted) step() query.Step {
	r := n.Receipt
	s := query.Step{
		What: whats[r.Answer], At: n.At, By: n.By, From: r.By, Phoned: n.Telephone, Reason: string(r.Reason), Text: r.Text, Due: r.Due,
		To: n.To, Until: n.Until,
	}
	if s.What == query.Asked {
		s.Owner = n.By
		if s.To == "" { // noted by an earlier version
			s.To, _ = query.RoleOf(s.Reason)
		}
	}
	return s
}

// applyThread adds an event of the thread.
func (c *Case) applyThread(e store.Event) (changed bool, err error) {
	add := func(what query.What, text, owner string) {
		c.Thread = append(c.Thread, query.Step{What: what, At: e.At, By: e.Actor, Text: text, Owner: owner})
	}
	switch e.Kind {
	case kindReceipt:
		err = read(e, func(v Noted) {
			v.By, v.At = e.Actor, e.At
			s := v.step()
			s.Earlier = c.overtaken(v.Receipt)
			c.Notes, c.Thread = append(c.Notes, v), append(c.Thread, s)
		})
	case kindAnswered:
		err = read(e, func(v said) { add(query.Answered, v.Text, "") })
	case kindNoted:
		err = read(e, func(v said) { add(query.Said, v.Text, "") })
	case kindTaken:
		add(query.Taken, "", e.Actor)
	default:
		return false, nil
	}
	return true, err
}

// overtaken reports whether a receipt answers a parcel after which another was sent.
func (c Case) overtaken(r exchange.Receipt) bool {
	n := len(c.Sent)
	return n > 0 && r.Parcel != "" && r.Parcel != c.Sent[n-1].Parcel
}

// Queries returns how it stands with what the laboratory asks.
func (c Case) Queries() query.Thread { return query.Of(c.Thread) }

// onTheWay returns when the work was sent, when it was accepted, and when queries were open;
// work that was not sent is taken to be sent now. After a refusal, and where it is made
// again, it begins anew.
func (c Case) onTheWay(now time.Time) (sent turnaround.Moment, accepted *turnaround.Moment, pauses []turnaround.Pause) {
	at := func(t time.Time) turnaround.Moment { return turnaround.MomentOf(t.In(now.Location())) }
	sent = turnaround.MomentOf(now)
	since := c.remade()
	begun := false
	for _, s := range c.Thread {
		switch {
		case s.Earlier || !s.At.After(since):
		case s.What == query.Refused:
			since, begun, accepted, sent = s.At, false, nil, turnaround.MomentOf(now)
		case s.What == query.Sent && !begun:
			begun, sent = true, at(s.At)
		case s.What == query.Accepted:
			m := at(s.At)
			accepted = &m
		}
	}
	return sent, accepted, c.Queries().Pauses(since, at)
}

// remade returns when the last visit ended after which the work is made again; zero: none
// did.
func (c Case) remade() time.Time {
	for _, v := range slices.Backward(c.Visits) {
		if v.Outcome == seating.Remake {
			return v.Day()
		}
	}
	return time.Time{}
}

// NoteReceipt records what the laboratory answered. A receipt that came as a file must be
// for a parcel of this case; what was said on the telephone is for the last one. Who notes a
// query answers for it until somebody else takes it.
func (d *Desk) NoteReceipt(ctx context.Context, actor, id string, r exchange.Receipt, telephone bool, now time.Time) error {
	if err := r.Check(); err != nil {
		return &Problem{What: "%s", About: err.Error()}
	}
	n := Noted{Receipt: r, Telephone: telephone}
	if r.Answer == exchange.Query {
		week, err := d.week(ctx, now)
		if err != nil {
			return err
		}
		until, err := query.Until(week, turnaround.MomentOf(now).Day, int(d.Limits().Setting(limit.QueryAnswer)))
		if err != nil {
			return err
		}
		n.Until = until.String()
		n.To, _ = query.RoleOf(string(r.Reason))
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		switch {
		case len(c.Sent) == 0:
			return &Problem{What: "this case was not sent yet"}
		case telephone:
			n.Receipt.Parcel = c.Sent[len(c.Sent)-1].Parcel
		case !slices.ContainsFunc(c.Sent, func(s Sending) bool { return s.Parcel != "" && s.Parcel == r.Parcel }):
			return &Problem{What: "this receipt is for another case", Try: "look for the case that it belongs to"}
		case slices.ContainsFunc(c.Notes, func(n Noted) bool { return n.Receipt == r }):
			return nil // the same file once more
		}
		_, err := tx.Add(id, actor, kindReceipt, n)
		return err
	})
}

// Answer records what the laboratory's query was answered with. asks is how many questions
// whoever answers has seen, 0 for whatever there are: one that came since is not answered.
func (d *Desk) Answer(ctx context.Context, actor, id, text string, asks int) error {
	return d.inThread(ctx, actor, id, kindAnswered, text, asks)
}

// NoteQuery notes something on the way to an answer: who was called, and what they said.
func (d *Desk) NoteQuery(ctx context.Context, actor, id, text string, asks int) error {
	return d.inThread(ctx, actor, id, kindNoted, text, asks)
}

func (d *Desk) inThread(ctx context.Context, actor, id, kind, text string, asks int) error {
	text = strings.TrimSpace(text)
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		switch open := len(c.Queries().Open); {
		case open == 0:
			return &Problem{What: "no query waits for an answer"}
		case asks != 0 && asks != open:
			return errNewer()
		}
		if text == "" || len(text) > 2000 {
			return &Problem{What: "there is no answer, or too long a one"}
		}
		_, err := tx.Add(id, actor, kind, said{Text: text})
		return err
	})
}

// TakeQuery lets whoever acts answer for the query that waits.
func (d *Desk) TakeQuery(ctx context.Context, actor, id string) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		t := c.Queries()
		switch {
		case !t.Waits():
			return &Problem{What: "no query waits for an answer"}
		case t.Owner == actor:
			return nil
		}
		_, err := tx.Add(id, actor, kindTaken, struct{}{})
		return err
	})
}
