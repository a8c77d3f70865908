package work_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/exchange"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/internal/work"
)

// checked ends the check that waits on a case, as a program beside this one would.
func (c *cellar) checked(t *testing.T, id string) work.Check {
	t.Helper()
	k, current := see(t, c.Desk, id).Current()
	if !current || k.State != work.Waiting {
		t.Fatalf("no check waits: %+v", k)
	}
	ok(t, c.Ledger().Change(t.Context(), func(tx *store.Tx) error {
		_, err := tx.Add(id, work.System, "check-done", map[string]any{"check": k.ID, "verdict": finding.Clear, "line": "clear"})
		return err
	}))
	return k
}

// TestOnlyWhatWasSeenIsSettled: nobody decides on, judges, signs, takes back or answers what
// came after the look.
func TestOnlyWhatWasSeenIsSettled(t *testing.T) {
	c := dig(t)
	c.now = monday
	ctx := t.Context()
	id := c.holding(t, "one")
	ok(t, c.SetOrder(ctx, "asst", id, name26))
	seen := c.checked(t, id).ID
	ok(t, c.AddScans(ctx, "asst", id, []work.Incoming{{Name: "newer.stl", Data: strings.NewReader("newer")}}))
	is := c.checked(t, id).ID
	const newer = "something newer came since you looked"
	refusedFor(t, c.Decide(ctx, "dr", id, seen, work.Accept, ""), newer)
	refusedFor(t, c.JudgeAlarm(ctx, "dr", id, seen, 1, true), newer)
	ok(t, c.Decide(ctx, "dr", id, is, work.Accept, ""))
	refusedFor(t, c.Sign(ctx, "dr", id, seen), newer)
	ok(t, c.Sign(ctx, "dr", id, is))
	if v, signed := see(t, c.Desk, id).Signature(); !signed || v.What != is {
		t.Errorf("signed %+v", v)
	}

	for _, what := range []string{schedule.CordIn, schedule.CordOut} {
		ok(t, c.Tick(ctx, "asst", id, schedule.Tick{What: what}))
	}
	refusedFor(t, c.TakeTickBack(ctx, "asst", id, 1), newer)
	ok(t, c.TakeTickBack(ctx, "asst", id, 2))
	if n := len(see(t, c.Desk, id).Ticks); n != 1 {
		t.Errorf("%d ticks are left, want 1", n)
	}

	ok(t, c.SentElsewhere(ctx, "asst", id))
	for range 2 {
		rec := exchange.Receipt{Schema: exchange.ReceiptSchema, Answer: exchange.Query, Reason: exchange.ShadeDoubt, By: "T.", At: "2026-05-04T12:00:00Z"}
		ok(t, c.NoteReceipt(ctx, "asst", id, rec, true, c.now))
		c.now = c.now.Add(time.Minute)
	}
	refusedFor(t, c.NoteQuery(ctx, "asst", id, "nobody answered", 1), newer)
	refusedFor(t, c.Answer(ctx, "dr", id, "2M2", 1), newer)
	if n := len(see(t, c.Desk, id).Queries().Open); n != 2 {
		t.Errorf("%d questions are open, want 2", n)
	}
	ok(t, c.Answer(ctx, "dr", id, "2M2 for both", 2))
	if see(t, c.Desk, id).Queries().Waits() {
		t.Error("a question is open still")
	}
}

// TestSignedWhileADeliveryComes: a case that is signed while a delivery looks for its case
// is left alone, as one that was signed before.
func TestSignedWhileADeliveryComes(t *testing.T) {
	c := dig(t)
	c.now = time.Now()
	ctx := t.Context()
	ok(t, c.Deliver(ctx, "share", delivery("scans", "prep.stl", "first")))
	id := cases(t, c.Desk)[0].ID
	ok(t, c.SetOrder(ctx, "asst", id, name26))
	k := c.checked(t, id).ID
	ok(t, c.Decide(ctx, "dr", id, k, work.Accept, ""))
	c.n, c.before[1] = 0, func() { ok(t, c.Sign(ctx, "dr", id, k)) }
	ok(t, c.Deliver(ctx, "share", delivery("scans", "prep.stl", "of the next patient")))
	if n := len(see(t, c.Desk, id).Scans); n != 1 || len(cases(t, c.Desk)) != 2 {
		t.Errorf("%d scans in the signed case, %d cases; want 1 and a new case", n, len(cases(t, c.Desk)))
	}
}

// TestCancelStopsWhatWasMeant: a check that came after the one that is to be stopped goes on,
// and what is no case does not become one.
func TestCancelStopsWhatWasMeant(t *testing.T) {
	c := dig(t)
	ctx := t.Context()
	if err := c.Cancel(ctx, "asst", "none", ""); !errors.Is(err, work.ErrNoCase) || len(cases(t, c.Desk)) > 0 {
		t.Errorf("%v; %d cases", err, len(cases(t, c.Desk)))
	}
	id := c.holding(t, "one")
	ok(t, c.SetOrder(ctx, "asst", id, name26))
	first, _ := see(t, c.Desk, id).Current()
	ok(t, c.AddScans(ctx, "asst", id, []work.Incoming{{Name: "newer.stl", Data: strings.NewReader("newer")}}))
	ok(t, c.Cancel(ctx, "asst", id, first.ID))
	if k, current := see(t, c.Desk, id).Current(); !current || k.State != work.Waiting || k.ID == first.ID {
		t.Errorf("the newer check: %+v", k)
	}
}
