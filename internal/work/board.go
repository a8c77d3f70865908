package work

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"selvage/calendar"
	"selvage/internal/exchange"
	"selvage/internal/prescription"
	"selvage/internal/seating"
	"selvage/internal/turnaround"
)

// Standing is where a case stands on its way, the most pressing first.
type Standing string

// The standings, in the order of their risk.
const (
	StandRefused  Standing = "refused"   // by the laboratory
	StandAsked    Standing = "asked"     // a query waits
	StandSeatSoon Standing = "seat-soon" // seated within two working days, and not here and inspected
	StandLate     Standing = "late"      // it should be here
	StandRemake   Standing = "remake"    // to be made again
	StandToSend   Standing = "to-send"
	StandInspect  Standing = "inspect" // here, and not inspected
	StandSilent   Standing = "silent"  // sent before today, and not accepted
	StandOut      Standing = "out"     // at the laboratory
	StandHere     Standing = "here"    // inspected, to be seated
	StandSeated   Standing = "seated"
)

// Standings lists them in the order of their risk.
func Standings() []Standing {
	return []Standing{StandRefused, StandAsked, StandSeatSoon, StandLate, StandRemake, StandToSend, StandInspect, StandSilent, StandOut, StandHere, StandSeated}
}

// soon is how many working days before the seat visit the work has to be in the building
// and inspected.
const soon = 2

// Standing tells where the case stands today, by the working days of the practice.
func (c Case) Standing(week calendar.Week, today calendar.Date) Standing {
	if n := len(c.Visits); n > 0 {
		if c.Visits[n-1].Outcome != seating.Remake {
			return StandSeated
		}
		if len(c.Sent) == 0 || !c.Sent[len(c.Sent)-1].At.After(c.Visits[n-1].Day()) {
			return StandRemake
		}
	}
	if len(c.Sent) == 0 {
		return StandToSend
	}
	sent := c.Sent[len(c.Sent)-1].At
	var last Noted
	if n := len(c.Notes); n > 0 && c.Notes[n-1].At.After(sent) {
		last = c.Notes[n-1]
	}
	came, here := c.cameBack()
	due, noDue := calendar.Parse(c.Order.Dates.Due)
	seat, noSeat := calendar.Parse(c.Order.Dates.Seat)
	_, asked := c.Asked()
	switch {
	case here && came.Inspected():
		return StandHere
	case last.Receipt.Answer == exchange.Refuse && !here:
		return StandRefused
	case asked && !here:
		return StandAsked
	case noSeat == nil && week.Between(today, seat) <= soon:
		return StandSeatSoon
	case here:
		return StandInspect
	case noDue == nil && due < today:
		return StandLate
	case last.Receipt.Answer == "" && turnaround.MomentOf(sent).Day < today:
		return StandSilent
	}
	return StandOut
}

// BoardRow is one case on the board.
type BoardRow struct {
	Case     Case
	Standing Standing
}

// Board returns the cases that are on their way, the most pressing first: by risk, then by
// the day on which they are seated. It looks at the cases that changed last, at most limit.
func (d *Desk) Board(ctx context.Context, limit int, now time.Time) ([]BoardRow, error) {
	book, err := d.Profiles(ctx)
	if err != nil {
		return nil, err
	}
	week, err := prescription.PracticeWeek(book.Practice, now.Year()-1, now.Year()+1)
	if err != nil {
		return nil, err
	}
	cases, err := d.Recent(ctx, limit)
	if err != nil {
		return nil, err
	}
	var out []BoardRow
	for _, c := range cases {
		if s := c.Standing(week, turnaround.MomentOf(now).Day); s != StandSeated {
			out = append(out, BoardRow{c, s})
		}
	}
	slices.SortStableFunc(out, func(a, b BoardRow) int {
		return cmp.Or(slices.Index(Standings(), a.Standing)-slices.Index(Standings(), b.Standing), strings.Compare(seatOf(a), seatOf(b)))
	})
	return out, nil
}

// seatOf is the day on which a case is seated; one without comes last.
func seatOf(r BoardRow) string {
	if r.Case.Order.Dates.Seat == "" {
		return "~"
	}
	return r.Case.Order.Dates.Seat
}

// lateness returns by how many working days a laboratory is late as a rule, learned from
// what came back; known is false where that is too little.
func (d *Desk) lateness(ctx context.Context, laboratory string, week calendar.Week) (days int, known bool, err error) {
	events, err := d.ledger.OfKind(ctx, kindReturned)
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
