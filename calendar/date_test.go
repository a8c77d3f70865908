package calendar_test

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"selvage/calendar"
)

func date(t testing.TB, s string) calendar.Date {
	t.Helper()
	d, err := calendar.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The standard library is the oracle for every day of eight centuries.
func TestAgreesWithStandardLibrary(t *testing.T) {
	clock := time.Date(1600, 1, 1, 0, 0, 0, 0, time.UTC)
	d, ok := calendar.New(1600, 1, 1)
	if !ok {
		t.Fatal("1600-01-01 is not a date")
	}
	for clock.Year() < 2400 {
		if got, want := d.String(), clock.Format("2006-01-02"); got != want {
			t.Fatalf("day %d = %s, want %s", d, got, want)
		}
		if got, want := d.Weekday().String(), clock.Weekday().String(); got != want {
			t.Fatalf("%s is a %s, want %s", d, got, want)
		}
		if int64(d)*86400 != clock.Unix() {
			t.Fatalf("%s counts as day %d, want %d", d, d, clock.Unix()/86400)
		}
		d, clock = d+1, clock.AddDate(0, 0, 1)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, s := range []string{"", "2026-02-30", "2025-02-29", "1900-02-29", "2026-13-01", "2026-00-01", "2026-01-00", "26-01-01", "2026/01/01", "2026-1-1", "2026-01-0x", "0000-01-01", "+026-01-01"} {
		if d, err := calendar.Parse(s); err == nil {
			t.Errorf("Parse(%q) = %v, want an error", s, d)
		}
	}
	for _, s := range []string{"2024-02-29", "2000-02-29", "0001-01-01", "9999-12-31"} {
		if d := date(t, s); d.String() != s {
			t.Errorf("Parse(%q) = %v", s, d)
		}
	}
}

func TestNamesOfDays(t *testing.T) {
	if got := calendar.Weekday(7).String(); got != "no day" {
		t.Errorf("Weekday(7) = %q", got)
	}
	if calendar.DaysIn(2026, 13) != 0 || calendar.DaysIn(2024, 2) != 29 || calendar.DaysIn(2026, 4) != 30 {
		t.Error("DaysIn is wrong")
	}
}

func TestWorkingDays(t *testing.T) {
	// 2026-05-14 is taken as a holiday; 2026-05-16, a Saturday, as worked.
	week := calendar.Week{Closed: []calendar.Date{date(t, "2026-05-14")}, Open: []calendar.Date{date(t, "2026-05-16")}}
	for _, c := range []struct {
		week     calendar.Week
		from     string
		n        int
		want     string
		fromDays int // working days after from, up to want
	}{
		{calendar.Week{}, "2026-05-15", 2, "2026-05-19", 2}, // Friday to Tuesday
		{calendar.Week{}, "2026-05-15", 1, "2026-05-18", 1},
		{calendar.Week{}, "2026-05-16", 0, "2026-05-18", 1},
		{calendar.Week{}, "2026-05-15", 0, "2026-05-15", 0},
		{calendar.Week{}, "2026-05-18", -1, "2026-05-15", -1},
		{calendar.Week{}, "2026-05-04", 10, "2026-05-18", 10},
		{week, "2026-05-13", 1, "2026-05-15", 1},
		{week, "2026-05-15", 1, "2026-05-16", 1},
		{calendar.Week{Free: []calendar.Weekday{calendar.Friday}}, "2026-05-14", 1, "2026-05-16", 1},
	} {
		from, want := date(t, c.from), date(t, c.want)
		got, err := c.week.Add(from, c.n)
		if err != nil || got != want {
			t.Errorf("Add(%s, %d) = %v, %v, want %s", c.from, c.n, got, err, c.want)
		}
		if n := c.week.Between(from, want); n != c.fromDays {
			t.Errorf("Between(%s, %s) = %d, want %d", c.from, c.want, n, c.fromDays)
		}
	}
}

func TestWeekThatNeverOpens(t *testing.T) {
	shut := calendar.Week{Free: []calendar.Weekday{0, 1, 2, 3, 4, 5, 6}}
	if _, err := shut.Add(0, 1); err == nil {
		t.Error("Add found a working day in a week that has none")
	}
}

// Add and Between are inverse, and Add lands on working days only.
func TestAddAndBetweenAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := calendar.Date(rapid.IntRange(-200000, 200000).Draw(t, "base"))
		n := rapid.IntRange(1, 60).Draw(t, "n")
		var w calendar.Week
		for _, o := range rapid.SliceOfN(rapid.IntRange(0, 90), 0, 10).Draw(t, "closed") {
			w.Closed = append(w.Closed, base+calendar.Date(o))
		}
		to, err := w.Add(base, n)
		if err != nil || !w.Works(to) || w.Between(base, to) != n {
			t.Fatalf("Add(%v, %d) = %v, %v; Between gives %d", base, n, to, err, w.Between(base, to))
		}
		if w.Between(to, base) != -n {
			t.Fatalf("Between(%v, %v) = %d, want %d", to, base, w.Between(to, base), -n)
		}
	})
}

func Example() {
	due, _ := calendar.Parse("2026-05-15")
	seat, _ := calendar.Parse("2026-05-19")
	fmt.Println(due.Weekday(), seat.Weekday(), calendar.Week{}.Between(due, seat))
	// Output: Friday Tuesday 2
}
