package work

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"time"

	"selvage/calendar"
	"selvage/internal/prescription"
	"selvage/internal/query"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/track"
	"selvage/internal/turnaround"
	"selvage/limit"
)

// Facts returns what the case's standing rests on.
func (c Case) Facts() track.Facts {
	f := track.Facts{
		Name: c.Name, Lab: c.Order.Laboratory.Name, House: prescription.InHouse(c.Order),
		Loose: c.loose(), Cut: c.cut(), Changed: c.Changed.UnixMilli(),
	}
	day := func(s string) calendar.Date {
		d, err := calendar.Parse(s)
		if err != nil {
			return 0
		}
		return d
	}
	d := c.Order.Dates
	f.Due, f.Seat = day(d.Due), day(d.Seat)
	if len(c.Order.Restorations) > 0 {
		f.Tooth = c.Order.Restorations[0].Tooth.Number()
		if !f.House { // WHY not the day on which the case was opened: nobody cut anything then
			f.Since = day(d.Prepared)
		}
	}
	if n := len(c.Sent); n > 0 {
		f.Sent = c.Sent[n-1].At.UnixMilli()
	}
	f.Answer, f.Replied = c.answered()
	t := query.Of(c.Thread)
	f.Asked, f.To, f.Owner, f.Until = t.Waits(), t.To, t.Owner, day(t.Until)
	b, here := c.cameBack()
	f.Here, f.Whole = here, here && b.Inspected()
	if n := len(c.Visits); n > 0 {
		f.Over = c.Visits[n-1].Outcome != seating.Remake
		f.Again = !f.Over && !c.sentSince(c.Visits[n-1].Day())
	}
	if c.Keeping.Deleted != nil {
		f.Over = true
	}
	return f
}

// answered is what the laboratory said last since the case was last sent, and when a query
// of it was answered last since then, in milliseconds since 1970. WHY work that was accepted
// is so again once a query is answered: it is at the bench.
func (c Case) answered() (out track.Answer, replied int64) {
	accepted := false
	for _, s := range c.Thread {
		switch {
		case s.Earlier:
		case s.What == query.Sent:
			out, replied, accepted = track.Silent, 0, false
		case s.What == query.Asked:
			out = track.Queried
		case s.What == query.Answered:
			replied = s.At.UnixMilli()
			if accepted {
				out = track.Accepted
			}
		case s.What == query.Accepted:
			out, accepted = track.Accepted, true
		case s.What == query.Refused:
			out, accepted = track.Refused, false
		}
	}
	return out, replied
}

// sentSince reports whether the case was sent, or its block released, after a moment.
func (c Case) sentSince(at time.Time) bool {
	if n := len(c.Cuts); n > 0 && c.Cuts[n-1].At.After(at) {
		return true
	}
	n := len(c.Sent)
	return n > 0 && c.Sent[n-1].At.After(at)
}

// board keeps the facts of the cases that are on their way, as far as it has read.
type board struct {
	mu    sync.Mutex
	seq   int64 // the last change that it has seen
	index track.Index
}

// BoardRow is one case on the board.
type BoardRow = track.Row

// Board returns at most limit of the cases that are on their way, the most pressing first,
// and how many there are of each standing. It reads what changed since it was last asked,
// by whichever server; after a start it reads what was written with the events.
func (d *Desk) Board(ctx context.Context, limit int, now time.Time) ([]BoardRow, map[track.Standing]int, error) {
	day, err := d.Day(ctx, now)
	if err != nil {
		return nil, nil, err
	}
	d.board.mu.Lock()
	defer d.board.mu.Unlock()
	if err := d.catchUp(ctx); err != nil {
		return nil, nil, err
	}
	rows, counts := d.board.index.Top(day, limit)
	return rows, counts, nil
}

// catchUp reads what changed. The board is held.
func (d *Desk) catchUp(ctx context.Context) error {
	changed, err := d.ledger.Tracks(ctx, d.board.seq)
	if err != nil {
		return err
	}
	for _, c := range changed {
		var f track.Facts
		if err := json.Unmarshal(c.Facts, &f); err != nil {
			return fmt.Errorf("case %s: %w", c.Case, err)
		}
		d.board.index.Put(c.Case, f)
		d.board.seq = c.Seq
	}
	return nil
}

// Day returns a day as the practice's calendar and limits see it.
func (d *Desk) Day(ctx context.Context, now time.Time) (track.Day, error) {
	week, err := d.week(ctx, now)
	if err != nil {
		return track.Day{}, err
	}
	t := d.Limits()
	stay, _ := t.Find(limit.TemporaryStay, limit.Selector{})
	return track.On(week, now, track.Limits{Ready: int(t.Setting(limit.SeatReady)), Note: int(stay.Advise.V), Long: int(stay.Flag.V)})
}

// week returns the working days of the practice, around a moment.
func (d *Desk) week(ctx context.Context, now time.Time) (calendar.Week, error) {
	book, err := d.Profiles(ctx)
	if err != nil {
		return calendar.Week{}, err
	}
	return prescription.PracticeWeek(book.Practice, now.Year()-1, now.Year()+1)
}

// retrack computes anew what an earlier version of the program wrote of cases in another
// form, or not at all. Cost: a replay of those cases.
func (d *Desk) retrack(ctx context.Context) error {
	const together = 200
	ids, err := d.ledger.Untracked(ctx, track.Form)
	for len(ids) > 0 && err == nil {
		some := ids[:min(together, len(ids))]
		ids = ids[len(some):]
		err = d.ledger.Change(ctx, func(tx *store.Tx) error {
			for _, id := range some {
				if _, err := d.settle(tx, id); err != nil {
					return err
				}
			}
			return nil
		})
	}
	return err
}

// learnedFrom is how many of the last pieces of work that came back tell how late a
// laboratory is.
const learnedFrom = 2000

// lateness returns by how many working days a laboratory is late as a rule, learned from
// what came back; known is false where that is too little.
func (d *Desk) lateness(ctx context.Context, laboratory string, week calendar.Week) (days int, known bool, err error) {
	events, err := d.ledger.LastOfKind(ctx, kindReturned, learnedFrom)
	if err != nil {
		return 0, false, err
	}
	var record []turnaround.Delivery
	seen := map[string]bool{}
	for _, e := range events {
		err := read(e, func(v Returned) {
			promised, noPromise := calendar.Parse(v.Promised)
			came, noDay := calendar.Parse(v.Day)
			if !seen[e.Case] && strings.EqualFold(v.Laboratory, laboratory) && noPromise == nil && noDay == nil {
				seen[e.Case] = true
				record = append(record, turnaround.Delivery{Promised: promised, Came: came})
			}
		})
		if err != nil {
			return 0, false, err
		}
	}
	days, known = turnaround.Lateness(week, record)
	return days, known, nil
}
