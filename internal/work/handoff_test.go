package work_test

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/exchange"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/work"
)

func wish() work.Wish {
	return work.Wish{Lang: "en", Name: func(a string) string { return "Dr. " + a }, Version: "test", Words: map[string]string{"lack.to-follow": "to follow"}}
}

// ready is a case that may be handed off: signed, everything missing said, and sent without
// a check.
func ready(t *testing.T) (*work.Desk, string) {
	t.Helper()
	d, id := profiled(t)
	ctx := context.Background()
	ok(t, d.AddScans(ctx, "a", id, []work.Incoming{{Name: "Jane Roe upper.stl", Role: "working", Data: strings.NewReader("solid Jane Roe\nendsolid Jane Roe\n")}}))
	plan := func() work.Plan {
		p, err := d.Plan(ctx, see(t, d, id), "Dr. A", monday)
		ok(t, err)
		return p
	}
	var problem *work.Problem
	if err := d.HandOff(ctx, "a", id, plan(), wish(), monday); !errors.As(err, &problem) {
		t.Errorf("a draft is handed off: %v", err)
	}
	for _, l := range plan().Missing {
		ok(t, d.Mark(ctx, "a", id, work.Mark{Lack: l.Key(), How: work.ToFollow}))
	}
	ok(t, d.Prescribe(ctx, "b", "Dr. A", id, plan().Hash, monday))
	if b := see(t, d, id).Blocked(plan()); len(b) != 1 || b[0] != work.NoCheck {
		t.Fatalf("blocked by %v", b)
	}
	ok(t, d.Mark(ctx, "a", id, work.Mark{Lack: work.CheckMark, How: work.SendAnyway, Reason: "seen and probed"}))
	if b := see(t, d, id).Blocked(plan()); len(b) > 0 {
		t.Fatalf("blocked by %v", b)
	}
	return d, id
}

func TestHandOffPacksAndRecords(t *testing.T) {
	d, id := ready(t)
	ctx := context.Background()
	p, err := d.Plan(ctx, see(t, d, id), "", monday)
	ok(t, err)
	w := wish()
	w.Scrub = true
	ok(t, d.HandOff(ctx, "a", id, p, w, monday))
	s := see(t, d, id).Sent
	if len(s) != 1 || s[0].Version != 1 || s[0].Name != "case_26.zip" || !s[0].Scrubbed || len(s[0].Said) > 0 {
		t.Fatalf("sent %+v", s)
	}
	data, err := d.Archive(ctx, s[0])
	ok(t, err)
	o, err := exchange.Verify(bytes.NewReader(data), int64(len(data)))
	if err != nil || len(o.Wrong) > 0 || o.Manifest.Parcel != s[0].Parcel || o.Manifest.Version != 1 || o.Manifest.Case != "C-1" {
		t.Errorf("the archive: %+v, %v", o, err)
	}
	for _, f := range o.Manifest.Files {
		if strings.Contains(strings.ToLower(f.Name), "jane") {
			t.Errorf("%s names somebody", f.Name)
		}
	}
	if bytes.Contains(data, []byte("Jane")) {
		t.Error("the archive names somebody")
	}
	events, err := d.Events(ctx, id)
	ok(t, err)
	named, err := work.Named(events[len(events)-1], func(store.Hash) ([]byte, error) { return nil, errors.New("not asked for") })
	if err != nil || named[s[0].Archive] == "" {
		t.Errorf("a back-up does not know the archive: %v, %v", named, err)
	}

	w.Scrub = false
	ok(t, d.HandOff(ctx, "a", id, p, w, monday))
	if s := see(t, d, id).Sent; len(s) != 2 || len(s[1].Said) != 1 || !strings.Contains(s[1].Said[0], "Jane Roe") {
		t.Errorf("it is not said what the header says: %+v", s)
	}
	w.Encrypt = true
	var problem *work.Problem
	if err := d.HandOff(ctx, "a", id, p, w, monday); !errors.As(err, &problem) {
		t.Errorf("encrypted to nobody: %v", err)
	}
}

func TestReceiptsAndQueries(t *testing.T) {
	d, id := ready(t)
	ctx := context.Background()
	p, err := d.Plan(ctx, see(t, d, id), "", monday)
	ok(t, err)
	rec := exchange.Receipt{Schema: exchange.ReceiptSchema, Answer: exchange.Accept, By: "T.", At: "2026-05-04T12:00:00Z"}
	var problem *work.Problem
	if err := d.NoteReceipt(ctx, "a", id, rec, true); !errors.As(err, &problem) {
		t.Errorf("an answer to what was not sent: %v", err)
	}
	ok(t, d.HandOff(ctx, "a", id, p, wish(), monday))
	rec.Parcel = "another"
	if err := d.NoteReceipt(ctx, "a", id, rec, false); !errors.As(err, &problem) {
		t.Errorf("a receipt for another case is taken: %v", err)
	}
	rec.Parcel = see(t, d, id).Sent[0].Parcel
	query := rec
	query.Answer, query.Reason, query.Text = exchange.Query, exchange.MarginDoubt, "distal?"
	ok(t, d.NoteReceipt(ctx, "a", id, query, false))
	ok(t, d.NoteReceipt(ctx, "a", id, query, false)) // the same file once more
	c := see(t, d, id)
	if n, open := c.Asked(); len(c.Notes) != 1 || !open || n.Receipt.Text != "distal?" {
		t.Fatalf("notes %+v", c.Notes)
	}
	if p, err = d.Plan(ctx, c, "", time.Now()); err != nil || !p.Forecast.Waiting {
		t.Errorf("the clock runs on while a query is open: %+v, %v", p.Forecast, err)
	}
	ok(t, d.Answer(ctx, "a", id, "as drawn"))
	if err := d.Answer(ctx, "a", id, "once more"); !errors.As(err, &problem) {
		t.Errorf("an answer to nothing: %v", err)
	}
	ok(t, d.NoteReceipt(ctx, "a", id, rec, true))
	c = see(t, d, id)
	if p, err = d.Plan(ctx, c, "", time.Now()); err != nil || p.Forecast.Waiting || p.Forecast.Assumed {
		t.Errorf("accepted: %+v, %v", p.Forecast, err)
	}
	ok(t, d.SentElsewhere(ctx, "a", id))
	if s := see(t, d, id).Sent; !s[len(s)-1].Elsewhere {
		t.Errorf("sent %+v", s)
	}
}

// TestLatenessIsLearned has ten cases come back late, and an eleventh foreseen later.
func TestLatenessIsLearned(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	plan := func() work.Plan {
		p, err := d.Plan(ctx, see(t, d, id), "", monday)
		ok(t, err)
		return p
	}
	was := plan()
	for range 10 {
		other, err := d.NewCase(ctx, "a", "", "")
		ok(t, err)
		ok(t, d.SetOrder(ctx, "a", other, func(c *casefile.Case) error {
			c.Laboratory.Name, c.Dates.Due = "LAB", "2026-05-04"
			return nil
		}))
		var problem *work.Problem
		if err := d.Return(ctx, "a", other, nil, "", "", monday); !errors.As(err, &problem) {
			t.Errorf("it came back and was not sent: %v", err)
		}
		ok(t, d.SentElsewhere(ctx, "a", other))
		ok(t, d.Return(ctx, "a", other, work.Points()[:2], "a chip", "", monday.AddDate(0, 0, 2)))
		ok(t, d.Return(ctx, "a", other, work.Points(), "", "", monday.AddDate(0, 0, 9))) // looked at again
	}
	is := plan()
	if !is.Learned || is.Late != 2 || was.Learned || is.Forecast.Due <= was.Forecast.Due {
		t.Errorf("late by %d (%v): due %s, before %s", is.Late, is.Learned, is.Forecast.Due, was.Forecast.Due)
	}
}

// TestStandings walks a case down its way with the clock moved forward, and holds each step
// against what has to be done then.
func TestStandings(t *testing.T) {
	day := func(s string) calendar.Date {
		d, err := calendar.Parse(s)
		ok(t, err)
		return d
	}
	at := func(s string) time.Time { return time.UnixMilli(0).AddDate(0, 0, int(day(s))).UTC() }
	sent := work.Sending{Parcel: "p", At: at("2026-05-04")}
	note := func(a exchange.Answer, when string) work.Noted {
		return work.Noted{Receipt: exchange.Receipt{Answer: a}, At: at(when)}
	}
	back := func(points int, when string) work.Returned {
		return work.Returned{Day: when, Sound: work.Points()[:points], At: at(when)}
	}
	all := len(work.Points())
	for _, tt := range []struct {
		name  string
		c     work.Case
		today string
		want  work.Standing
	}{
		{"not sent", work.Case{}, "2026-05-04", work.StandToSend},
		{"sent today", work.Case{Sent: []work.Sending{sent}}, "2026-05-04", work.StandOut},
		{"no answer the day after", work.Case{Sent: []work.Sending{sent}}, "2026-05-05", work.StandSilent},
		{"accepted", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Accept, "2026-05-05")}}, "2026-05-06", work.StandOut},
		{"asked", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Query, "2026-05-05")}}, "2026-05-06", work.StandAsked},
		{"answered", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Query, "2026-05-05")}, Answers: []work.Answered{{At: at("2026-05-06")}}}, "2026-05-06", work.StandOut},
		{"refused", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Refuse, "2026-05-05")}}, "2026-05-06", work.StandRefused},
		{"sent again", work.Case{Sent: []work.Sending{sent, {At: at("2026-05-07")}}, Notes: []work.Noted{note(exchange.Refuse, "2026-05-05")}}, "2026-05-07", work.StandOut},
		{"late, and seated much later", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Accept, "2026-05-05")}}, "2026-04-30", work.StandLate},
		{"late", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Accept, "2026-05-05")}}, "2026-05-14", work.StandSeatSoon},
		{"three working days before", work.Case{Sent: []work.Sending{sent}, Notes: []work.Noted{note(exchange.Accept, "2026-05-05")}}, "2026-05-13", work.StandOut},
		{"forty-eight hours before", work.Case{Sent: []work.Sending{sent}, Back: []work.Returned{back(2, "2026-05-13")}}, "2026-05-15", work.StandSeatSoon},
		{"here", work.Case{Sent: []work.Sending{sent}, Back: []work.Returned{back(2, "2026-05-12")}}, "2026-05-12", work.StandInspect},
		{"inspected", work.Case{Sent: []work.Sending{sent}, Back: []work.Returned{back(all, "2026-05-13")}}, "2026-05-15", work.StandHere},
		{"seated", work.Case{Sent: []work.Sending{sent}, Visits: []seating.Seated{{Outcome: seating.AsMade, At: at("2026-05-18")}}}, "2026-05-18", work.StandSeated},
		{"remake", work.Case{Sent: []work.Sending{sent}, Visits: []seating.Seated{{Outcome: seating.Remake, At: at("2026-05-18")}}}, "2026-05-18", work.StandRemake},
	} {
		tt.c.Order.Dates.Due, tt.c.Order.Dates.Seat = "2026-05-13", "2026-05-18" // a Wednesday, the Monday after
		if tt.want == work.StandLate {
			tt.c.Order.Dates.Due = "2026-04-29"
		}
		if got := tt.c.Standing(calendar.Week{}, day(tt.today)); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// TestMadeAgainComesAgain: work that is made again has a second day of coming back; looking
// again at what lies here has not.
func TestMadeAgainComesAgain(t *testing.T) {
	d, id := ready(t)
	ctx := context.Background()
	day := func(n int) time.Time { return time.Date(2026, 5, n, 9, 0, 0, 0, time.UTC) }
	ok(t, d.SentElsewhere(ctx, "a", id))
	ok(t, d.Return(ctx, "a", id, work.Points()[:2], "a chip", "", day(6)))
	ok(t, d.Return(ctx, "a", id, work.Points(), "", "", day(7)))
	ok(t, d.Seat(ctx, "a", id, seating.Seated{Outcome: seating.Remake, Seen: seating.FaultMargin}))
	time.Sleep(2 * time.Millisecond) // the ledger counts milliseconds
	ok(t, d.SentElsewhere(ctx, "a", id))
	ok(t, d.Return(ctx, "a", id, work.Points(), "", "", day(20)))
	var days []string
	for _, b := range see(t, d, id).Back {
		days = append(days, b.Day)
	}
	if want := []string{"2026-05-06", "2026-05-06", "2026-05-20"}; !slices.Equal(days, want) {
		t.Errorf("came back on %v, want %v", days, want)
	}
}

func TestSeatingAndTheBoard(t *testing.T) {
	d, id := ready(t)
	ctx := context.Background()
	other, err := d.NewCase(ctx, "a", "second", "")
	ok(t, err)
	ok(t, d.SentElsewhere(ctx, "a", id))
	rec := exchange.Receipt{Schema: exchange.ReceiptSchema, Answer: exchange.Refuse, Reason: exchange.MarginDoubt, By: "T.", At: "2026-05-04T12:00:00Z"}
	ok(t, d.NoteReceipt(ctx, "a", id, rec, true))
	board := func() []work.BoardRow {
		b, err := d.Board(ctx, 10, time.Now())
		ok(t, err)
		return b
	}
	if b := board(); len(b) != 2 || b[0].Case.ID != id || b[0].Standing != work.StandRefused || b[1].Case.ID != other {
		t.Errorf("the board: %+v", b)
	}
	var problem *work.Problem
	if err := d.Seat(ctx, "a", id, seating.Seated{Outcome: seating.Remake}); !errors.As(err, &problem) {
		t.Errorf("made again for no reason: %v", err)
	}
	ok(t, d.Seat(ctx, "a", id, seating.Seated{Outcome: seating.AsMade, Minutes: 6, Lot: "L1"}))
	if v := see(t, d, id).Visits; len(v) != 1 || v[0].Outcome != seating.Adjusted || v[0].By != "a" {
		t.Errorf("six minutes of adjusting: %+v", v)
	}
	if b := board(); len(b) != 1 || b[0].Case.ID != other {
		t.Errorf("the board: %+v", b)
	}
}
