package query_test

import (
	"testing"
	"time"

	"selvage/calendar"
	"selvage/internal/query"
	"selvage/internal/turnaround"
)

func at(day, hour int) time.Time { return time.Date(2026, 5, day, hour, 0, 0, 0, time.UTC) }

func day(t *testing.T, s string) calendar.Date {
	t.Helper()
	d, err := calendar.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestThread follows one thread: two questions, somebody else who takes it over, a call
// that ends nothing, the answer, and a question that a further parcel answers.
func TestThread(t *testing.T) {
	steps := []query.Step{
		{What: query.Sent, At: at(4, 9)},
		{What: query.Asked, At: at(5, 10), To: query.Assistant, Owner: "a", Until: "2026-05-07"},
		{What: query.Asked, At: at(5, 11), To: query.Dentist, Owner: "b", Until: "2026-05-06"},
		{What: query.Said, At: at(5, 12), Text: "nobody answered"},
		{What: query.Taken, At: at(6, 9), Owner: "m"},
		{What: query.Answered, At: at(7, 9)},
		{What: query.Taken, At: at(7, 10), Owner: "x"}, // there is nothing to take over
		{What: query.Asked, At: at(8, 9), To: query.Assistant, Owner: "a", Until: "2026-05-11"},
		{What: query.Sent, At: at(8, 15)},
		{What: query.Accepted, At: at(8, 16)},
	}
	for _, tt := range []struct {
		n, open   int
		owner     string
		to        query.Role
		until     string
		late, not string // a day on which it is overdue, and one on which it is not
	}{
		{n: 1, not: "2026-12-01"},
		{n: 2, open: 1, owner: "a", to: query.Assistant, until: "2026-05-07", late: "2026-05-08", not: "2026-05-07"},
		{n: 3, open: 2, owner: "a", to: query.Dentist, until: "2026-05-06", late: "2026-05-07", not: "2026-05-06"},
		{n: 4, open: 2, owner: "a", to: query.Dentist, until: "2026-05-06", late: "2026-05-07", not: "2026-05-06"},
		{n: 5, open: 2, owner: "m", to: query.Dentist, until: "2026-05-06", late: "2026-05-07", not: "2026-05-06"},
		{n: 6, not: "2026-12-01"},
		{n: 7, not: "2026-12-01"},
		{n: 8, open: 1, owner: "a", to: query.Assistant, until: "2026-05-11", late: "2026-05-12", not: "2026-05-11"},
		{n: 9, not: "2026-12-01"},
		{n: 10, not: "2026-12-01"},
	} {
		x := query.Of(steps[:tt.n])
		if len(x.Open) != tt.open || x.Owner != tt.owner || x.To != tt.to || x.Until != tt.until {
			t.Errorf("after %d steps: %d open, owner %q, to %q, until %q; want %+v", tt.n, len(x.Open), x.Owner, x.To, x.Until, tt)
		}
		if tt.late != "" && !x.Overdue(day(t, tt.late)) || x.Overdue(day(t, tt.not)) {
			t.Errorf("after %d steps: overdue is wrong", tt.n)
		}
	}
	pauses := query.Of(steps).Pauses(time.Time{}, turnaround.MomentOf)
	want := []turnaround.Pause{
		{Asked: turnaround.MomentOf(at(5, 10)), Answered: turnaround.MomentOf(at(7, 9))},
		{Asked: turnaround.MomentOf(at(8, 9)), Answered: turnaround.MomentOf(at(8, 15))},
	}
	if len(pauses) != 2 || pauses[0] != want[0] || pauses[1] != want[1] {
		t.Errorf("pauses %+v, want %+v", pauses, want)
	}
	if p := query.Of(steps[:8]).Pauses(at(7, 12), turnaround.MomentOf); len(p) != 1 || !p[0].Open {
		t.Errorf("what is asked after noon of the seventh: %+v", p)
	}
}

func TestUntil(t *testing.T) {
	week := calendar.Week{Closed: []calendar.Date{day(t, "2026-05-25")}} // a Monday
	for _, tt := range []struct {
		asked string
		days  int
		want  string
	}{
		{"2026-05-04", 1, "2026-05-05"},
		{"2026-05-08", 1, "2026-05-11"},
		{"2026-05-22", 1, "2026-05-26"},
		{"2026-05-23", 0, "2026-05-26"},
		{"2026-05-04", 0, "2026-05-04"},
	} {
		got, err := query.Until(week, day(t, tt.asked), tt.days)
		if err != nil || got.String() != tt.want {
			t.Errorf("asked on %s, %d days: %v, %v; want %s", tt.asked, tt.days, got, err, tt.want)
		}
	}
}

func TestRoleOf(t *testing.T) {
	for reason, want := range map[string]query.Role{"margin-unclear": query.Dentist, "shade": query.Assistant, "another": query.Assistant} {
		if got, known := query.RoleOf(reason); got != want || known == (reason == "another") {
			t.Errorf("%s is put to %s (%v)", reason, got, known)
		}
	}
}
