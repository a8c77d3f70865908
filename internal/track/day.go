package track

import (
	"time"

	"selvage/calendar"
	"selvage/internal/turnaround"
)

// Limits are the practice's own numbers of working days.
type Limits struct {
	Ready int // before the seat visit the work has to be in the building and inspected
	Note  int // that a temporary may stay before it is worth a word; 0: none
	Long  int // that it may stay before the patient is chased; 0: none
}

// Day is a day on which cases are looked at, with the days that follow from it: comparing a
// case with them counts no days.
type Day struct {
	Today calendar.Date
	Began int64         // when it began, in milliseconds since 1970
	Soon  calendar.Date // a seat visit up to this day is soon
	Note  calendar.Date // a temporary in place since a day before this one is worth a word
	Long  calendar.Date // and since a day before this one it is chased
	week  calendar.Week
}

// On returns the day of a moment, by the practice's working days.
func On(week calendar.Week, now time.Time, l Limits) (Day, error) {
	d := Day{Today: turnaround.MomentOf(now).Day, week: week}
	d.Began = time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location()).UnixMilli()
	next, err := week.Add(d.Today, l.Ready+1)
	if err != nil {
		return d, err
	}
	d.Soon = next - 1
	if d.Note, err = before(week, d.Today, l.Note); err != nil {
		return d, err
	}
	d.Long, err = before(week, d.Today, l.Long)
	return d, err
}

// before returns the day before which a day has to lie for more than n working days to
// have passed after it up to today: the n+1-th working day counted back; 0 for none.
func before(week calendar.Week, today calendar.Date, n int) (calendar.Date, error) {
	if n <= 0 {
		return 0, nil
	}
	return week.Add(today+1, -(n + 1))
}

// TooLong reports whether a temporary has been in place for so long that the patient is
// chased.
func (d Day) TooLong(f Facts) bool { return f.tooLong(&d) }

func (f *Facts) tooLong(d *Day) bool { return f.Since != 0 && f.Since < d.Long }

// Stays returns for how many working days a temporary has been in place, and whether that
// is worth a word.
func (d Day) Stays(f Facts) (days int, worth bool) {
	if f.Since == 0 || f.Over {
		return 0, false
	}
	return d.week.Between(f.Since, d.Today), f.Since < d.Note || f.Since < d.Long
}
