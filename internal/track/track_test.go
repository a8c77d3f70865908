package track_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/calendar"
	"selvage/internal/track"
)

func day(t testing.TB, s string) calendar.Date {
	t.Helper()
	d, err := calendar.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var usual = track.Limits{Ready: 2, Note: 15, Long: 20}

// on is a day at noon by the working days of a practice that rests on a Monday in May.
func on(t testing.TB, s string) track.Day {
	t.Helper()
	noon, err := time.Parse(time.RFC3339, s+"T12:00:00Z")
	if err != nil {
		t.Fatal(err)
	}
	d, err := track.On(calendar.Week{Closed: []calendar.Date{day(t, "2026-05-25")}}, noon, usual)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func sent(s string) int64 {
	at, err := time.Parse(time.RFC3339, s+"T09:00:00Z")
	if err != nil {
		panic(err)
	}
	return at.UnixMilli()
}

// TestStandings holds each state of a case against what has to be done on a day.
func TestStandings(t *testing.T) {
	due, seat := day(t, "2026-05-13"), day(t, "2026-05-18") // a Wednesday, the Monday after
	out := track.Facts{Sent: sent("2026-05-04"), Due: due, Seat: seat}
	with := func(f track.Facts, edit func(*track.Facts)) track.Facts { edit(&f); return f }
	asked := with(out, func(f *track.Facts) {
		f.Answer, f.Asked, f.Until = track.Queried, true, day(t, "2026-05-06")
	})
	accepted := with(out, func(f *track.Facts) { f.Answer = track.Accepted })
	for _, tt := range []struct {
		name  string
		f     track.Facts
		today string
		want  track.Standing
	}{
		{"not sent", track.Facts{Seat: seat}, "2026-05-04", track.StandToSend},
		{"not sent, and seated soon", track.Facts{Seat: seat}, "2026-05-14", track.StandSeatSoon},
		{"sent today", out, "2026-05-04", track.StandOut},
		{"no answer the day after", out, "2026-05-05", track.StandSilent},
		{"accepted", accepted, "2026-05-06", track.StandOut},
		{"asked", asked, "2026-05-05", track.StandAsked},
		{"asked, on its last day", asked, "2026-05-06", track.StandAsked},
		{"asked, beyond its day", asked, "2026-05-07", track.StandOverdue},
		{"asked, and no day was kept", with(asked, func(f *track.Facts) { f.Until = 0 }), "2026-06-07", track.StandAsked},
		{"answered today", with(asked, func(f *track.Facts) { f.Asked, f.Replied = false, sent("2026-05-06") }), "2026-05-06", track.StandOut},
		{"answered, and nobody accepted", with(asked, func(f *track.Facts) { f.Asked, f.Replied = false, sent("2026-05-06") }), "2026-05-07", track.StandSilent},
		{"asked, and it came all the same", with(asked, func(f *track.Facts) { f.Here = true }), "2026-05-07", track.StandInspect},
		{"refused", with(out, func(f *track.Facts) { f.Answer = track.Refused }), "2026-05-06", track.StandRefused},
		{"late, and seated much later", with(accepted, func(f *track.Facts) { f.Seat = day(t, "2026-06-18") }), "2026-05-14", track.StandLate},
		{"on the day that it is due", accepted, "2026-05-13", track.StandOut},
		{"forty-eight hours before", accepted, "2026-05-14", track.StandSeatSoon},
		{"on the weekend before", accepted, "2026-05-16", track.StandSeatSoon},
		{"after the seat day", accepted, "2026-05-20", track.StandSeatSoon},
		{"here, and looked at in part, forty-eight hours before", with(accepted, func(f *track.Facts) { f.Here = true }), "2026-05-15", track.StandSeatSoon},
		{"here", with(accepted, func(f *track.Facts) { f.Here = true }), "2026-05-12", track.StandInspect},
		{"inspected", with(accepted, func(f *track.Facts) { f.Here, f.Whole = true, true }), "2026-05-15", track.StandHere},
		{"seated", with(accepted, func(f *track.Facts) { f.Over = true }), "2026-07-15", track.StandSeated},
		{"remake", with(accepted, func(f *track.Facts) { f.Again = true }), "2026-05-18", track.StandRemake},
		{"in the house", track.Facts{House: true}, "2026-05-04", track.StandToCut},
		{"in the house, cut", track.Facts{House: true, Cut: true}, "2026-05-04", track.StandHere},
		{"the temporary is loose", with(accepted, func(f *track.Facts) { f.Loose = true }), "2026-05-06", track.StandLoose},
		{"the temporary is loose, and it was refused", with(out, func(f *track.Facts) { f.Loose, f.Answer = true, track.Refused }), "2026-05-06", track.StandRefused},
		// Monday 4 May is twenty working days before Tuesday 2 June, with the 25th closed.
		{"a temporary of twenty working days", track.Facts{Since: day(t, "2026-05-04")}, "2026-06-02", track.StandToSend},
		{"a temporary of twenty-one", track.Facts{Since: day(t, "2026-05-04")}, "2026-06-03", track.StandTemp},
		{"a temporary of long ago, and seated", track.Facts{Since: day(t, "2026-01-04"), Over: true}, "2026-06-03", track.StandSeated},
		{"a temporary of long ago, and seat soon", with(accepted, func(f *track.Facts) { f.Since = day(t, "2026-01-04") }), "2026-05-15", track.StandSeatSoon},
	} {
		if got := tt.f.Standing(on(t, tt.today)); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// TestDayAgreesWithCounting holds the days against which cases are compared against the
// counting of days that they spare.
func TestDayAgreesWithCounting(t *testing.T) {
	week := calendar.Week{Closed: []calendar.Date{day(t, "2026-05-25")}}
	for today := day(t, "2026-05-01"); today < day(t, "2026-07-01"); today++ {
		d := on(t, today.String())
		for other := today - 60; other < today+15; other++ {
			f := track.Facts{Since: other, Seat: other}
			if got, want := other <= d.Soon, week.Between(today, other) <= usual.Ready; got != want {
				t.Fatalf("on %s a seat visit on %s is soon: %v, want %v", today, other, got, want)
			}
			if got, want := d.TooLong(f), week.Between(other, today) > usual.Long; got != want {
				t.Fatalf("on %s a temporary since %s is there for too long: %v, want %v", today, other, got, want)
			}
			days, worth := d.Stays(f)
			if want := week.Between(other, today); days != want || worth != (want > usual.Note) {
				t.Fatalf("on %s a temporary since %s stays %d days (%v), want %d", today, other, days, worth, want)
			}
		}
	}
}

// some is a case at a random place of its way.
func some(r *rand.Rand, today calendar.Date) track.Facts {
	f := track.Facts{Name: "C", Lab: "North Bench", Since: today - calendar.Date(r.IntN(40)), Changed: int64(r.IntN(1000))}
	if r.IntN(4) > 0 {
		f.Seat = today + calendar.Date(r.IntN(30)-4)
		f.Due = f.Seat - 4
	}
	if r.IntN(5) > 0 {
		f.Sent = int64(today-calendar.Date(r.IntN(9))) * 86_400_000
		f.Answer = []track.Answer{track.Silent, track.Accepted, track.Accepted, track.Queried, track.Refused}[r.IntN(5)]
		f.Asked, f.Until = f.Answer == track.Queried, today+calendar.Date(r.IntN(4)-2)
		f.Here = r.IntN(4) == 0
		f.Whole = f.Here && r.IntN(2) == 0
	}
	f.Loose, f.House, f.Again, f.Over = r.IntN(50) == 0, r.IntN(9) == 0, r.IntN(50) == 0, r.IntN(20) == 0
	return f
}

// TestTopIsASort holds the board against sorting all cases, with cases that change and end.
func TestTopIsASort(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	d := on(t, "2026-05-15")
	var x track.Index
	all := map[string]track.Facts{}
	for range 300 {
		for range r.IntN(20) {
			id, f := fmt.Sprintf("case-%d", r.IntN(500)), some(r, d.Today)
			x.Put(id, f)
			if all[id] = f; f.Over {
				delete(all, id)
			}
		}
		n := []int{0, 1, 3, 50, 1000}[r.IntN(5)]
		got, counts := x.Top(d, n)
		want := sorted(all, d)
		sum := 0
		for _, c := range counts {
			sum += c
		}
		if x.Len() != len(all) || sum != len(all) {
			t.Fatalf("%d cases, %d counted, want %d", x.Len(), sum, len(all))
		}
		if len(got) != min(n, len(want)) {
			t.Fatalf("%d rows of %d, want %d", len(got), len(want), n)
		}
		for i := range got {
			if got[i].ID != want[i] {
				t.Fatalf("row %d of %d is %s (%s), want %s (%s)", i, len(want), got[i].ID, got[i].Standing, want[i], all[want[i]].Standing(d))
			}
			if f, ok := x.Of(got[i].ID); !ok || f != all[got[i].ID] {
				t.Fatalf("%s: %+v", got[i].ID, f)
			}
		}
	}
}

// sorted lists the cases as a board should, by another way: the standing, the day that it
// is about, what changed last.
func sorted(all map[string]track.Facts, d track.Day) []string {
	var ids []string
	for id := range all {
		ids = append(ids, id)
	}
	about := func(f track.Facts) calendar.Date {
		day := f.Seat
		switch f.Standing(d) {
		case track.StandOverdue, track.StandAsked:
			day = f.Until
		case track.StandLate:
			day = f.Due
		case track.StandTemp:
			day = f.Since
		}
		if day == 0 {
			return 1 << 30
		}
		return day
	}
	slices.SortFunc(ids, func(a, b string) int {
		f, g := all[a], all[b]
		return cmp.Or(
			slices.Index(track.Standings(), f.Standing(d))-slices.Index(track.Standings(), g.Standing(d)),
			cmp.Compare(about(f), about(g)), cmp.Compare(g.Changed, f.Changed), strings.Compare(a, b),
		)
	})
	return ids
}

// BenchmarkTop looks at 50,000 cases.
func BenchmarkTop(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	d := on(b, "2026-05-15")
	var x track.Index
	for i := range 50_000 {
		f := some(r, d.Today)
		f.Over = false
		x.Put(fmt.Sprintf("case-%d", i), f)
	}
	for b.Loop() {
		if rows, _ := x.Top(d, 200); len(rows) != 200 {
			b.Fatal(len(rows))
		}
	}
}
