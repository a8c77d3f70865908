package turnaround_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"selvage/calendar"
	"selvage/internal/holiday"
	"selvage/internal/turnaround"
)

func day(t testing.TB, s string) calendar.Date {
	t.Helper()
	d, err := calendar.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func at(t testing.TB, d string, clock string) turnaround.Moment {
	t.Helper()
	m, err := turnaround.ParseClock(clock)
	if err != nil {
		t.Fatal(err)
	}
	return turnaround.Moment{Day: day(t, d), Minute: m}
}

// usual is a laboratory in the United States that closes at three, takes five days, and
// sends by a carrier in two; the practice rests on Fridays too.
func usual(t testing.TB) turnaround.Route {
	t.Helper()
	national, err := holiday.Week("US", 2026, 2027)
	if err != nil {
		t.Fatal(err)
	}
	lab := national
	lab.Closed = append(append([]calendar.Date{}, national.Closed...), day(t, "2026-11-27")) // its own
	practice := national
	practice.Free = []calendar.Weekday{calendar.Friday, calendar.Saturday, calendar.Sunday}
	return turnaround.Route{Practice: practice, Maker: lab, Carrier: national, CutOff: 15 * 60, Days: 5, Back: 2, Buffer: 2}
}

// Each was counted by hand on a calendar of 2026.
func TestForecastByHand(t *testing.T) {
	r := usual(t)
	none := turnaround.Forecast{}
	tests := []struct {
		name     string
		sent     turnaround.Moment
		accepted *turnaround.Moment
		pauses   []turnaround.Pause
		edit     func(*turnaround.Route)
		want     turnaround.Forecast
	}{
		{
			// Mon 4 May: 5, 6, 7, 8, 11; carrier 12, 13; Wednesday 13; seat Thursday 14, Monday 18.
			name: "plain", sent: at(t, "2026-05-04", "10:00"),
			want: turnaround.Forecast{Counted: day(t, "2026-05-04"), Assumed: true, Leaves: day(t, "2026-05-11"), Due: day(t, "2026-05-13"), Seat: day(t, "2026-05-18")},
		},
		{
			// After three o'clock it is Tuesday's work: 6, 7, 8, 11, 12; carrier 13, 14; seat Mon 18, Tue 19.
			name: "after the cut-off", sent: at(t, "2026-05-04", "15:01"),
			want: turnaround.Forecast{Counted: day(t, "2026-05-05"), Assumed: true, Leaves: day(t, "2026-05-12"), Due: day(t, "2026-05-14"), Seat: day(t, "2026-05-19")},
		},
		{
			// A Saturday evening is Monday's work whatever the clock says.
			name: "on a weekend", sent: at(t, "2026-05-02", "20:00"),
			want: turnaround.Forecast{Counted: day(t, "2026-05-04"), Assumed: true, Leaves: day(t, "2026-05-11"), Due: day(t, "2026-05-13"), Seat: day(t, "2026-05-18")},
		},
		{
			// Over Thanksgiving (26 November) and the day after, on which this laboratory is
			// closed: Fri 20 counts, 23, 24, 25, 30, 1 December; the carrier 2, 3; seat 7, 8.
			name: "holiday and closed day", sent: at(t, "2026-11-20", "09:00"),
			want: turnaround.Forecast{Counted: day(t, "2026-11-20"), Assumed: true, Leaves: day(t, "2026-12-01"), Due: day(t, "2026-12-03"), Seat: day(t, "2026-12-08")},
		},
		{
			// It arrives on a Friday, when the practice is shut: due is Monday.
			name: "arrives on a closed day", sent: at(t, "2026-05-05", "16:00"),
			want: turnaround.Forecast{Counted: day(t, "2026-05-06"), Assumed: true, Leaves: day(t, "2026-05-13"), Due: day(t, "2026-05-18"), Seat: day(t, "2026-05-20")},
		},
		{
			// Accepted two days after it was sent: the count starts there.
			name: "from acceptance", sent: at(t, "2026-05-04", "10:00"), accepted: moment(at(t, "2026-05-06", "10:00")),
			want: turnaround.Forecast{Counted: day(t, "2026-05-06"), Leaves: day(t, "2026-05-13"), Due: day(t, "2026-05-18"), Seat: day(t, "2026-05-20")},
		},
		{
			// Asked Tuesday at nine, answered Thursday at noon: Tuesday and Wednesday do not count.
			// 7, 8, 11, 12, 13; carrier 14, 15 (Friday); due Monday 18.
			name: "a query", sent: at(t, "2026-05-04", "10:00"), accepted: moment(at(t, "2026-05-04", "10:00")),
			pauses: []turnaround.Pause{{Asked: at(t, "2026-05-05", "09:00"), Answered: at(t, "2026-05-07", "12:00")}},
			want:   turnaround.Forecast{Counted: day(t, "2026-05-04"), Leaves: day(t, "2026-05-13"), Due: day(t, "2026-05-18"), Seat: day(t, "2026-05-20"), Paused: 2},
		},
		{
			// Answered the same day before the cut-off: nothing is lost.
			name: "a query answered at once", sent: at(t, "2026-05-04", "10:00"), accepted: moment(at(t, "2026-05-04", "10:00")),
			pauses: []turnaround.Pause{{Asked: at(t, "2026-05-05", "09:00"), Answered: at(t, "2026-05-05", "11:00")}},
			want:   turnaround.Forecast{Counted: day(t, "2026-05-04"), Leaves: day(t, "2026-05-11"), Due: day(t, "2026-05-13"), Seat: day(t, "2026-05-18")},
		},
		{
			// In a hurry: two days.
			name: "rush", sent: at(t, "2026-05-04", "10:00"), edit: func(r *turnaround.Route) { r.Days = 2 },
			want: turnaround.Forecast{Counted: day(t, "2026-05-04"), Assumed: true, Leaves: day(t, "2026-05-06"), Due: day(t, "2026-05-11"), Seat: day(t, "2026-05-13")},
		},
		{
			// A model goes along, by carrier for two days: it is there on Wednesday.
			name: "with a parcel", sent: at(t, "2026-05-04", "10:00"), edit: func(r *turnaround.Route) { r.Out = 2 },
			want: turnaround.Forecast{Counted: day(t, "2026-05-06"), Assumed: true, Leaves: day(t, "2026-05-13"), Due: day(t, "2026-05-18"), Seat: day(t, "2026-05-20")},
		},
		{
			name: "late as a rule", sent: at(t, "2026-05-04", "10:00"), edit: func(r *turnaround.Route) { r.Late = 1 },
			want: turnaround.Forecast{Counted: day(t, "2026-05-04"), Assumed: true, Leaves: day(t, "2026-05-12"), Due: day(t, "2026-05-14"), Seat: day(t, "2026-05-19")},
		},
	}
	for _, tt := range tests {
		r := r
		if tt.edit != nil {
			tt.edit(&r)
		}
		got, err := r.Forecast(tt.sent, tt.accepted, tt.pauses, tt.sent)
		if err != nil || got != tt.want || got == none {
			t.Errorf("%s:\n got %+v (%v)\nwant %+v", tt.name, got, err, tt.want)
		}
	}
}

func moment(m turnaround.Moment) *turnaround.Moment { return &m }

// An open query is counted as answered now, so that the date moves on while nobody
// answers.
func TestOpenQueryMovesTheDate(t *testing.T) {
	r, sent := usual(t), at(t, "2026-05-04", "10:00")
	open := []turnaround.Pause{{Asked: at(t, "2026-05-05", "09:00"), Open: true}}
	soon, err := r.Forecast(sent, &sent, open, at(t, "2026-05-05", "10:00"))
	if err != nil {
		t.Fatal(err)
	}
	later, err := r.Forecast(sent, &sent, open, at(t, "2026-05-12", "16:00"))
	if err != nil {
		t.Fatal(err)
	}
	if !soon.Waiting || !later.Waiting || soon.Paused != 0 || later.Paused != 6 || later.Due <= soon.Due {
		t.Errorf("soon %+v, later %+v", soon, later)
	}
}

func TestClashes(t *testing.T) {
	r, sent := usual(t), at(t, "2026-05-04", "10:00") // due 13, seat 18 May
	f, err := r.Forecast(sent, nil, nil, sent)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name      string
		due, seat string
		want      []turnaround.Clash
	}{
		{"possible", "2026-05-13", "2026-05-18", nil},
		{"nothing wanted", "", "", nil},
		{"due too early", "2026-05-11", "2026-05-18", []turnaround.Clash{{turnaround.DueTooEarly, day(t, "2026-05-11"), day(t, "2026-05-13"), 2}}},
		{"seat on the due day", "2026-05-18", "2026-05-18", []turnaround.Clash{{turnaround.SeatTooSoon, day(t, "2026-05-18"), day(t, "2026-05-20"), 0}}},
		{"seat before it can be back", "", "2026-05-12", []turnaround.Clash{{turnaround.SeatTooEarly, day(t, "2026-05-12"), day(t, "2026-05-18"), 3}}},
		{"seat on Memorial Day", "2026-05-18", "2026-05-25", []turnaround.Clash{{turnaround.SeatClosed, day(t, "2026-05-25"), day(t, "2026-05-26"), 0}}},
		{"due on a Friday off", "2026-05-15", "2026-05-20", []turnaround.Clash{{turnaround.DueClosed, day(t, "2026-05-15"), day(t, "2026-05-18"), 0}}},
		{"seat before due", "2026-05-20", "2026-05-18", []turnaround.Clash{{turnaround.SeatBeforeDue, day(t, "2026-05-18"), day(t, "2026-05-26"), 0}}},
	} {
		var w turnaround.Wanted
		if tt.due != "" {
			w.Due = day(t, tt.due)
		}
		if tt.seat != "" {
			w.Seat = day(t, tt.seat)
		}
		got, err := r.Clashes(f, w)
		if err != nil || len(got) != len(tt.want) {
			t.Errorf("%s: got %+v (%v), want %+v", tt.name, got, err, tt.want)
			continue
		}
		for i := range got {
			if got[i] != tt.want[i] {
				t.Errorf("%s: got %+v, want %+v", tt.name, got[i], tt.want[i])
			}
		}
	}
}

// Whatever is proposed as the nearest can be kept.
func TestNearestCanBeKept(t *testing.T) {
	r := usual(t)
	rapid.Check(t, func(rt *rapid.T) {
		start := day(t, "2026-01-01")
		sent := turnaround.Moment{Day: start + calendar.Date(rapid.IntRange(0, 600).Draw(rt, "sent")), Minute: rapid.IntRange(0, 1439).Draw(rt, "minute")}
		r := r
		r.Days, r.Back, r.Out = rapid.IntRange(0, 12).Draw(rt, "days"), rapid.IntRange(0, 4).Draw(rt, "back"), rapid.IntRange(0, 3).Draw(rt, "out")
		f, err := r.Forecast(sent, nil, nil, sent)
		if err != nil {
			rt.Fatal(err)
		}
		w := turnaround.Wanted{
			Due:  sent.Day + calendar.Date(rapid.IntRange(-3, 40).Draw(rt, "due")),
			Seat: sent.Day + calendar.Date(rapid.IntRange(-3, 40).Draw(rt, "seat")),
		}
		for range 3 { // mending one day may show that the other is wrong
			clashes, err := r.Clashes(f, w)
			if err != nil {
				rt.Fatal(err)
			}
			for _, c := range clashes {
				if c.Wanted == w.Due && (c.Why == turnaround.DueTooEarly || c.Why == turnaround.DueClosed) {
					w.Due = c.Nearest
				} else {
					w.Seat = c.Nearest
				}
			}
		}
		if clashes, _ := r.Clashes(f, w); len(clashes) > 0 {
			rt.Fatalf("what was proposed still clashes: %+v", clashes)
		}
		if r.Practice.Between(w.Due, w.Seat) < r.Buffer || w.Due < f.Due {
			rt.Fatalf("due %s, seat %s, forecast %+v", w.Due, w.Seat, f)
		}
	})
}

func TestLateness(t *testing.T) {
	var week calendar.Week
	promised := day(t, "2026-05-04") // a Monday
	record := make([]turnaround.Delivery, 0, 10)
	for _, late := range []int{0, 0, 0, 0, 0, 1, 1, 2, 3} {
		record = append(record, turnaround.Delivery{Promised: promised, Came: promised + calendar.Date(late)})
	}
	if _, known := turnaround.Lateness(week, record); known {
		t.Error("nine deliveries are too few to learn from")
	}
	record = append(record, turnaround.Delivery{Promised: promised, Came: promised - 3}) // early is not late
	if days, known := turnaround.Lateness(week, record); !known || days != 1 {
		t.Errorf("late by %d (%v), want 1: eight of ten were no later", days, known)
	}
}

func TestMomentOfATime(t *testing.T) {
	zone := time.FixedZone("", -5*3600)
	m := turnaround.MomentOf(time.Date(2026, 5, 4, 23, 30, 0, 0, zone))
	if m.String() != "2026-05-04 23:30" {
		t.Errorf("got %s", m)
	}
	for _, bad := range []string{"", "24:00", "9:60", "nine", "12:00:00", "-1:10"} {
		if _, err := turnaround.ParseClock(bad); err == nil {
			t.Errorf("%q is taken for a time of day", bad)
		}
	}
}
