package seating_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"selvage/internal/seating"
)

// TestStepsGuide checks that a step is never asked for before those without which it
// misleads, and that nothing can be wrong at two steps that are not the same thing.
func TestStepsGuide(t *testing.T) {
	all := seating.Steps()
	for i, s := range all {
		for _, b := range s.Before() {
			if !slices.Contains(all[:i], b) {
				t.Errorf("%s comes before %s, without which it misleads", s, b)
			}
		}
		if s.Adjustable() && len(s.Wrongs()) == 0 {
			t.Errorf("%s can be adjusted, and nothing can be wrong at it", s)
		}
	}
	var r seating.Record
	for i, want := range all {
		if got, ok := r.Next(0); !ok || got != want {
			t.Fatalf("step %d: %s %v, want %s", i, got, ok, want)
		}
		r.Tried = append(r.Tried, seating.Tried{Step: want, Result: seating.Good})
	}
	if s, ok := r.Next(0); ok {
		t.Errorf("all steps have their word, and %s is next", s)
	}
	if s, _ := r.Next(1); s != all[0] {
		t.Errorf("the next visit begins with %s", s)
	}
}

// TestTheOrderGuidesOnly: a later step may be noted first, and says what it waits for.
func TestTheOrderGuidesOnly(t *testing.T) {
	r := seating.Record{Tried: []seating.Tried{
		{Step: seating.Margin, Result: seating.NotGood, Wrong: []seating.Wrong{seating.MarginOpen}},
		{Step: seating.Contacts, Result: seating.NotGood, Wrong: []seating.Wrong{seating.MesialTight}},
		{Step: seating.Contacts, Result: seating.Good},
	}}
	if got := r.Early(0, seating.Margin); !slices.Equal(got, []seating.Step{seating.Inside}) {
		t.Errorf("before the margin: %v", got)
	}
	if last, ok := r.Last(0, seating.Contacts); !ok || last.Result != seating.Good {
		t.Errorf("the last word on the contacts: %+v", last)
	}
	if s, _ := r.Next(0); s != seating.Outside {
		t.Errorf("next is %s", s)
	}
}

func TestWhatCanBeTried(t *testing.T) {
	for _, tt := range []struct {
		say  string
		v    seating.Tried
		want bool
	}{
		{"good", seating.Tried{Step: seating.Bite, Result: seating.Good}, true},
		{"two things wrong", seating.Tried{Step: seating.Contacts, Result: seating.NotGood, Wrong: []seating.Wrong{seating.MesialOpen, seating.DistalTight}}, true},
		{"one thing twice", seating.Tried{Step: seating.Contacts, Result: seating.NotGood, Wrong: []seating.Wrong{seating.MesialOpen, seating.MesialOpen}}, false},
		{"good and wrong", seating.Tried{Step: seating.Bite, Result: seating.Good, Wrong: []seating.Wrong{seating.BiteHigh}}, false},
		{"of another step", seating.Tried{Step: seating.Bite, Result: seating.NotGood, Wrong: []seating.Wrong{seating.MarginOpen}}, false},
		{"no step", seating.Tried{Step: "polish", Result: seating.Good}, false},
		{"no result", seating.Tried{Step: seating.Bite}, false},
	} {
		if got := tt.v.Valid(); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.say, got, tt.want)
		}
	}
}

func TestMinutesAddUp(t *testing.T) {
	r := seating.Record{Adjusted: []seating.Adjustment{
		{Step: seating.Contacts, Minutes: 5}, {Step: seating.Contacts, Minutes: -1}, {Step: seating.Bite, Minutes: 2}, {Visit: 1, Step: seating.Bite, Minutes: 9},
	}}
	if a, b, c := r.Minutes(0, seating.Contacts), r.Minutes(0, ""), r.Minutes(1, ""); a != 4 || b != 6 || c != 9 {
		t.Errorf("%d, %d, %d minutes; want 4, 6, 9", a, b, c)
	}
}

// TestCorrectionKeepsWhatWas: a visit that is said anew stays one visit of its day, and
// both words stay.
func TestCorrectionKeepsWhatWas(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 5, n, 9, 0, 0, 0, time.UTC) }
	v := seating.Note(nil, seating.Seated{Outcome: seating.Remake, Seen: seating.FaultMargin, At: day(1)})
	v = seating.Note(v, seating.Seated{Outcome: seating.AsMade, At: day(2), Corrects: true})
	v = seating.Note(v, seating.Seated{Outcome: seating.Adjusted, Minutes: 7, At: day(3), Corrects: true})
	if len(v) != 1 || v[0].Outcome != seating.Adjusted || v[0].Day() != day(1) {
		t.Fatalf("%+v", v)
	}
	var was []seating.Outcome
	for _, w := range v[0].Was {
		was = append(was, w.Outcome)
		if w.Was != nil {
			t.Error("what was holds what was")
		}
	}
	if !reflect.DeepEqual(was, []seating.Outcome{seating.Remake, seating.AsMade}) {
		t.Errorf("said before: %v", was)
	}
	if v = seating.Note(v, seating.Seated{Outcome: seating.AsMade, At: day(4)}); len(v) != 2 {
		t.Errorf("another visit: %d visits", len(v))
	}
	if v := seating.Note(nil, seating.Seated{Outcome: seating.AsMade, Corrects: true}); len(v) != 1 || v[0].Corrects {
		t.Errorf("a correction of nothing: %+v", v)
	}
}

// TestEachPartyHasItsWord: views stand side by side, the last of each counts, the earlier
// stay, and who pays says nothing of the cause.
func TestEachPartyHasItsWord(t *testing.T) {
	r := seating.Record{
		Views: []seating.View{
			{Party: seating.ByDentist, Seen: []seating.Fault{seating.FaultMargin}, Origins: []seating.Origin{seating.OfMaking}},
			{Party: seating.ByLaboratory, Seen: []seating.Fault{seating.FaultFit}, Origins: []seating.Origin{seating.OfScan, seating.CannotTell}},
			{Party: seating.ByDentist, Seen: []seating.Fault{seating.FaultMargin}, Origins: []seating.Origin{seating.OfPreparation}},
			{Visit: 1, Party: seating.ByPatient, Seen: []seating.Fault{seating.FaultShade}},
		},
		Paid: []seating.Paid{{Who: seating.PaysOpen}, {Who: seating.PaysLaboratory}},
	}
	last, before, ok := r.View(0, seating.ByDentist)
	if !ok || last.Origins[0] != seating.OfPreparation || len(before) != 1 || before[0].Origins[0] != seating.OfMaking {
		t.Errorf("the dentist says %+v, said %+v", last, before)
	}
	if got := r.Origins(0); !slices.Equal(got, []seating.Origin{seating.OfScan, seating.OfPreparation, seating.CannotTell}) {
		t.Errorf("origins %v", got)
	}
	if got := r.Seen(0, seating.Seated{Seen: seating.FaultContact}); !slices.Equal(got, []seating.Fault{seating.FaultContact, seating.FaultMargin, seating.FaultFit}) {
		t.Errorf("seen %v", got)
	}
	if p, was, ok := r.Payer(0); !ok || p.Who != seating.PaysLaboratory || len(was) != 1 {
		t.Errorf("paid by %+v, before %+v", p, was)
	}
	if v := (seating.View{Party: seating.ByDentist, Seen: []seating.Fault{"colour"}}); v.Valid() {
		t.Error("a fault that is none is taken")
	}
}
