package work_test

import (
	"context"
	"errors"
	"testing"

	"selvage/internal/seating"
	"selvage/internal/work"
)

// TestSeatingIsTold goes through a visit that ends in a remake: steps in any order, minutes
// that add up, a word that is corrected, a view for each party, who pays.
func TestSeatingIsTold(t *testing.T) {
	d, id := ready(t)
	ctx := context.Background()
	refuse := func(say string, err error) {
		t.Helper()
		var problem *work.Problem
		if !errors.As(err, &problem) {
			t.Errorf("%s: %v", say, err)
		}
	}
	refuse("a view of no visit", d.Say(ctx, "a", id, seating.View{Party: seating.ByDentist, Seen: []seating.Fault{seating.FaultMargin}}))
	refuse("paid for no visit", d.Pay(ctx, "a", id, seating.Paid{Who: seating.PaysOpen}))
	refuse("a correction of no visit", d.Seat(ctx, "a", id, seating.Seated{Outcome: seating.AsMade, Corrects: true}))
	refuse("no step", d.Try(ctx, "a", id, seating.Tried{Step: "polish", Result: seating.Good}))
	refuse("minutes below nothing", d.Adjust(ctx, "a", id, seating.Adjustment{Step: seating.Contacts, Minutes: -1}))
	refuse("minutes of what cannot be adjusted", d.Adjust(ctx, "a", id, seating.Adjustment{Step: seating.Isolate, Minutes: 1}))

	ok(t, d.Try(ctx, "a", id, seating.Tried{Visit: 7, Step: seating.Contacts, Result: seating.NotGood, Wrong: []seating.Wrong{seating.DistalTight}}))
	ok(t, d.Adjust(ctx, "a", id, seating.Adjustment{Step: seating.Contacts, Minutes: 5}))
	ok(t, d.Adjust(ctx, "a", id, seating.Adjustment{Step: seating.Contacts, Minutes: -1}))
	ok(t, d.Seat(ctx, "a", id, seating.Seated{Outcome: seating.AsMade, Minutes: 4}))
	ok(t, d.Seat(ctx, "b", id, seating.Seated{Outcome: seating.Remake, Minutes: 4, Seen: seating.FaultMargin, Corrects: true}))
	ok(t, d.Say(ctx, "a", id, seating.View{Party: seating.ByLaboratory, Seen: []seating.Fault{seating.FaultMargin}, Origins: []seating.Origin{seating.OfScan}}))
	ok(t, d.Say(ctx, "a", id, seating.View{Party: seating.ByLaboratory, Seen: []seating.Fault{seating.FaultMargin}, Origins: []seating.Origin{seating.CannotTell}}))
	ok(t, d.Pay(ctx, "a", id, seating.Paid{Who: seating.PaysShared}))

	c := see(t, d, id)
	if tried, said := c.Seating.Last(0, seating.Contacts); !said || tried.Visit != 0 || tried.By != "a" {
		t.Errorf("the contacts: %+v", tried)
	}
	if n := c.Seating.Minutes(0, ""); n != 4 {
		t.Errorf("%d minutes, want 4", n)
	}
	if v := c.Visits; len(v) != 1 || v[0].Outcome != seating.Remake || v[0].By != "b" || len(v[0].Was) != 1 || v[0].Was[0].Outcome != seating.AsMade || v[0].Was[0].By != "a" {
		t.Errorf("the visit: %+v", v)
	}
	last, before, said := c.Seating.View(0, seating.ByLaboratory)
	if !said || last.Origins[0] != seating.CannotTell || len(before) != 1 {
		t.Errorf("the laboratory: %+v, before %+v", last, before)
	}
	if p, _, paid := c.Seating.Payer(0); !paid || p.Who != seating.PaysShared {
		t.Errorf("paid: %+v", p)
	}
}
