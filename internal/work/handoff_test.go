package work_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/exchange"
	"selvage/internal/mill"
	"selvage/internal/query"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/track"
	"selvage/internal/turnaround"
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
	readied(t, d, id)
	return d, id
}

// readied makes a case of [profile] ready to be handed off.
func readied(t *testing.T, d *work.Desk, id string) {
	t.Helper()
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
}

// TestNothingOldIsRecorded: a parcel that was packed, and a block that was looked at, before
// the case was changed are not recorded as sent and released.
func TestNothingOldIsRecorded(t *testing.T) {
	c := dig(t)
	c.now = monday
	id := profile(t, c.Desk)
	readied(t, c.Desk, id)
	ctx := t.Context()
	n := 0
	changed := func() {
		n++
		ok(t, c.AddScans(ctx, "a", id, []work.Incoming{{Name: "newer.stl", Data: strings.NewReader(fmt.Sprint(n))}}))
	}
	var picture bytes.Buffer
	ok(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 9, 9))))
	plan := func() work.Plan {
		p, err := c.Plan(ctx, see(t, c.Desk, id), "", monday)
		ok(t, err)
		return p
	}
	p := plan()
	for _, meanwhile := range []func(){
		changed,
		func() { ok(t, c.AddPhoto(ctx, "a", id, work.ShowsShade, picture.Bytes())) },
		func() {
			ok(t, c.Mark(ctx, "a", id, work.Mark{Lack: work.CheckMark, How: work.SendAnyway, Reason: "seen once more"}))
		},
	} {
		c.n, c.before[1] = 0, meanwhile
		refusedFor(t, c.HandOff(ctx, "a", id, p, wish(), monday), "changed meanwhile")
		if s := see(t, c.Desk, id).Sent; len(s) > 0 {
			t.Fatalf("sent %+v", s)
		}
	}
	c.n, c.before[1] = 0, func() { ok(t, c.Cancel(ctx, "a", id, "")) } // which changes nothing that is packed
	ok(t, c.HandOff(ctx, "a", id, p, wish(), monday))
	c.before[1] = changed
	ok(t, c.SetOrder(ctx, "a", id, func(o *casefile.Case) error { o.Restorations[0].MadeBy = casefile.InHouse; return nil }))
	p = plan()
	c.n = 0
	refusedFor(t, c.Release(ctx, "a", id, p, mill.Block{18, 14, 12}, "", "the dentist decided so"), "changed meanwhile")
	if x := see(t, c.Desk, id).Cuts; len(x) > 0 {
		t.Errorf("released %+v", x)
	}
	ok(t, c.Release(ctx, "a", id, plan(), mill.Block{18, 14, 12}, "", "the dentist decided so"))
}

// TestARemakeIsForeseenAnew: the days of work that is made again are counted from when it was
// sent again; what was asked about the first of it delays it by nothing.
func TestARemakeIsForeseenAnew(t *testing.T) {
	c := dig(t)
	at := func(d int) time.Time { c.now = monday.AddDate(0, 0, d); return c.now }
	at(0)
	id := profile(t, c.Desk)
	other := func(what exchange.Answer) exchange.Receipt {
		return exchange.Receipt{Schema: exchange.ReceiptSchema, Answer: what, Reason: exchange.ShadeDoubt, By: "T.", At: "2026-05-04T12:00:00Z"}
	}
	forecast := func() turnaround.Forecast {
		p, err := c.Plan(t.Context(), see(t, c.Desk, id), "", c.now)
		ok(t, err)
		return p.Forecast
	}
	ctx := t.Context()
	ok(t, c.SentElsewhere(ctx, "a", id))
	ok(t, c.NoteReceipt(ctx, "a", id, other(exchange.Accept), true, c.now))
	first := forecast()
	at(1)
	ok(t, c.NoteReceipt(ctx, "a", id, other(exchange.Query), true, c.now))
	at(14)
	ok(t, c.Seat(ctx, "a", id, seating.Seated{Outcome: seating.Remake, Seen: seating.FaultMargin}))
	at(28) // four weeks later, also a Monday
	if f := forecast(); !f.Assumed || f.Waiting || f.Counted-first.Counted != 28 {
		t.Errorf("not sent again: %+v, first %+v", f, first)
	}
	ok(t, c.SentElsewhere(ctx, "a", id))
	at(29)
	ok(t, c.NoteReceipt(ctx, "a", id, other(exchange.Accept), true, c.now))
	if f := forecast(); f.Assumed || f.Waiting || f.Paused > 0 || f.Counted-first.Counted != 29 {
		t.Errorf("sent again: %+v, first %+v", f, first)
	}
}

// TestALateReceiptSettlesNothing: what answers a parcel before the last one is kept, and
// neither accepts the last one, nor refuses it, nor asks about it.
func TestALateReceiptSettlesNothing(t *testing.T) {
	c := dig(t)
	c.now = monday
	id := profile(t, c.Desk)
	readied(t, c.Desk, id)
	ctx := t.Context()
	var sent []work.Sending
	for i := range 2 {
		p, err := c.Plan(ctx, see(t, c.Desk, id), "", monday)
		ok(t, err)
		ok(t, c.HandOff(ctx, "a", id, p, wish(), monday.Add(time.Duration(i)*time.Hour)))
		sent = see(t, c.Desk, id).Sent
	}
	rec := exchange.Receipt{Schema: exchange.ReceiptSchema, Reason: exchange.ShadeDoubt, By: "T.", At: "2026-05-04T12:00:00Z"}
	for _, a := range exchange.Answers() {
		rec.Answer, rec.Parcel = a, sent[0].Parcel
		ok(t, c.NoteReceipt(ctx, "a", id, rec, false, monday))
		k := see(t, c.Desk, id)
		last := k.Thread[len(k.Thread)-1]
		if f := k.Facts(); f.Answer != track.Silent || f.Asked || !last.Earlier || last.Reason != string(rec.Reason) {
			t.Errorf("%s of the first parcel: %+v, %+v", a, f, last)
		}
		if p, err := c.Plan(ctx, k, "", monday); err != nil || !p.Forecast.Assumed {
			t.Errorf("%s of the first parcel: %+v, %v", a, p.Forecast, err)
		}
	}
	rec.Answer, rec.Parcel = exchange.Accept, sent[1].Parcel
	ok(t, c.NoteReceipt(ctx, "a", id, rec, false, monday))
	if f := see(t, c.Desk, id).Facts(); f.Answer != track.Accepted {
		t.Errorf("the second parcel was accepted: %+v", f)
	}
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
	if err := d.NoteReceipt(ctx, "a", id, rec, true, monday); !errors.As(err, &problem) {
		t.Errorf("an answer to what was not sent: %v", err)
	}
	ok(t, d.HandOff(ctx, "a", id, p, wish(), monday))
	rec.Parcel = "another"
	if err := d.NoteReceipt(ctx, "a", id, rec, false, monday); !errors.As(err, &problem) {
		t.Errorf("a receipt for another case is taken: %v", err)
	}
	rec.Parcel = see(t, d, id).Sent[0].Parcel
	query := rec
	query.Answer, query.Reason, query.Text = exchange.Query, exchange.MarginDoubt, "distal?"
	ok(t, d.NoteReceipt(ctx, "a", id, query, false, monday))
	ok(t, d.NoteReceipt(ctx, "a", id, query, false, monday)) // the same file once more
	c := see(t, d, id)
	if q := c.Queries(); len(c.Notes) != 1 || len(q.Open) != 1 || q.Open[0].Text != "distal?" || q.Owner != "a" || q.To != "dentist" || q.Until != "2026-05-05" {
		t.Fatalf("asked %+v", q)
	}
	if p, err = d.Plan(ctx, c, "", time.Now()); err != nil || !p.Forecast.Waiting {
		t.Errorf("the clock runs on while a query is open: %+v, %v", p.Forecast, err)
	}
	ok(t, d.NoteQuery(ctx, "a", id, "the dentist looks at it at noon", 0))
	ok(t, d.TakeQuery(ctx, "dr", id))
	if q := see(t, d, id).Queries(); !q.Waits() || q.Owner != "dr" {
		t.Errorf("taken over: %+v", q)
	}
	ok(t, d.Answer(ctx, "dr", id, "as drawn", 0))
	for _, do := range []func() error{
		func() error { return d.NoteQuery(ctx, "a", id, "once more", 0) },
		func() error { return d.TakeQuery(ctx, "a", id) },
	} {
		if err := do(); !errors.As(err, &problem) {
			t.Errorf("nothing is asked: %v", err)
		}
	}
	if err := d.Answer(ctx, "a", id, "once more", 0); !errors.As(err, &problem) {
		t.Errorf("an answer to nothing: %v", err)
	}
	ok(t, d.NoteReceipt(ctx, "a", id, rec, true, monday))
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

// TestFactsFollowFromEvents walks a case down its way, and holds after each event where it
// stands that day.
func TestFactsFollowFromEvents(t *testing.T) {
	c := work.Case{ID: "c"}
	n := int64(0)
	for _, tt := range []struct {
		day, kind, body string
		want            track.Standing
	}{
		{"04", "case-opened", `{"name":"C-1"}`, track.StandToSend},
		{"04", "order-changed", `{"order":{"restorations":[{"tooth":{"system":"fdi","code":"26"},"made_by":"laboratory"}],"dates":{"prepared":"2026-05-04","due":"2026-05-20","seat":"2026-05-26"},"laboratory":{"name":"Lab"}}}`, track.StandToSend},
		{"04", "handed-off", `{"parcel":"p","version":1}`, track.StandOut},
		{"05", "viewed", `{"what":"check"}`, track.StandSilent},
		{"05", "receipt-noted", `{"receipt":{"answer":"query","reason":"margin-unclear","by":"T."},"to":"dentist","until":"2026-05-06"}`, track.StandAsked},
		{"06", "query-said", `{"text":"no answer"}`, track.StandAsked},
		{"07", "query-taken", `{}`, track.StandOverdue},
		{"07", "query-answered", `{"text":"as drawn"}`, track.StandOut},
		{"08", "viewed", `{"what":"board"}`, track.StandSilent}, // answered yesterday, and nobody accepted
		{"08", "receipt-noted", `{"receipt":{"answer":"query","reason":"surface-missing","by":"T."},"to":"assistant","until":"2026-05-11"}`, track.StandAsked},
		{"08", "handed-off", `{"parcel":"q","version":1}`, track.StandOut},
		{"11", "receipt-noted", `{"receipt":{"answer":"accept","by":"T."}}`, track.StandOut},
		{"11", "receipt-noted", `{"receipt":{"answer":"query","reason":"shade","by":"T."},"to":"assistant","until":"2026-05-12"}`, track.StandAsked},
		{"11", "query-answered", `{"text":"2M2"}`, track.StandOut},
		{"12", "viewed", `{"what":"board"}`, track.StandOut}, // it was accepted before it was asked about
		{"12", "temporary-noted", `{"loose":true}`, track.StandLoose},
		{"12", "temporary-noted", `{"loose":false}`, track.StandOut},
		{"21", "viewed", `{"what":"board"}`, track.StandLate},
		{"22", "viewed", `{"what":"board"}`, track.StandSeatSoon},
		{"22", "work-returned", `{"day":"2026-05-22","sound":["tooth"]}`, track.StandSeatSoon},
		{"22", "work-returned", `{"day":"2026-05-22","sound":["tooth","material","shade","model","chips","papers","disinfected"]}`, track.StandHere},
		{"26", "seated", `{"outcome":"remake","seen":"margin"}`, track.StandRemake},
		{"27", "handed-off", `{"parcel":"r","version":2}`, track.StandSeatSoon},
		{"28", "receipt-noted", `{"receipt":{"answer":"refuse","reason":"margin-unclear","by":"T."}}`, track.StandRefused},
		{"29", "seated", `{"outcome":"as-made"}`, track.StandSeated},
	} {
		at, err := time.Parse(time.RFC3339, "2026-05-"+tt.day+"T10:00:00Z")
		ok(t, err)
		n++
		ok(t, c.Apply(store.Event{Seq: n, N: n, Case: "c", At: at, Actor: "a", Kind: tt.kind, Body: json.RawMessage(tt.body)}))
		d, err := track.On(calendar.Week{}, at.Add(time.Hour), track.Limits{Ready: 2, Note: 15, Long: 20})
		ok(t, err)
		if got := c.Facts().Standing(d); got != tt.want {
			t.Errorf("on the %s, after %s: %s, want %s", tt.day, tt.kind, got, tt.want)
		}
	}
	if f := (work.Case{ID: "n", Opened: monday, Order: casefile.Case{Restorations: c.Order.Restorations}}).Facts(); f.Since != 0 {
		t.Errorf("a temporary is in place since %s, and nobody said when the tooth was prepared", f.Since)
	}
	if f := c.Facts(); f.Tooth != 26 || f.Lab != "Lab" || f.Since.String() != "2026-05-04" {
		t.Errorf("facts %+v", f)
	}
}

// TestEveryReasonIsPutToSomebody: a laboratory's reason that nobody thought of would be put
// to the wrong person.
func TestEveryReasonIsPutToSomebody(t *testing.T) {
	for _, r := range exchange.ReceiptReasons() {
		if _, known := query.RoleOf(string(r)); !known {
			t.Errorf("nobody is asked about %q", r)
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
	ok(t, d.NoteReceipt(ctx, "a", id, rec, true, monday))
	board := func() []work.BoardRow {
		b, _, err := d.Board(ctx, 10, time.Now())
		ok(t, err)
		return b
	}
	if b := board(); len(b) != 2 || b[0].ID != id || b[0].Standing != track.StandRefused || b[1].ID != other {
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
	if b := board(); len(b) != 1 || b[0].ID != other {
		t.Errorf("the board: %+v", b)
	}
}
