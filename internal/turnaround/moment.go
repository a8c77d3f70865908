package turnaround

import (
	"cmp"
	"fmt"
	"time"

	"selvage/calendar"
)

// Moment is a minute of a day on the practice's clock. A laboratory in another zone has
// its cut-off written in the practice's time.
type Moment struct {
	Day    calendar.Date
	Minute int // after midnight, 0 to 1439
}

// MomentOf returns the moment of t on the clock that t carries.
func MomentOf(t time.Time) Moment {
	d, _ := calendar.New(t.Year(), int(t.Month()), t.Day()) // a time's day is in the calendar
	return Moment{Day: d, Minute: 60*t.Hour() + t.Minute()}
}

// Compare orders moments by time.
func (m Moment) Compare(o Moment) int {
	return cmp.Or(cmp.Compare(m.Day, o.Day), cmp.Compare(m.Minute, o.Minute))
}

// String returns the moment as 2026-05-04 16:30.
func (m Moment) String() string { return fmt.Sprintf("%s %s", m.Day, ClockText(m.Minute)) }

// ClockText returns a minute of the day as 16:30.
func ClockText(minute int) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }

// ParseClock reads a time of day written as 16:30.
func ParseClock(s string) (minute int, err error) {
	var h, m int
	if n, err := fmt.Sscanf(s, "%d:%d", &h, &m); err != nil || n != 2 || len(s) > 5 || h < 0 || h > 23 || m < 0 || m > 59 {
		return 0, fmt.Errorf("%q is not a time of day; write it as 16:30", s)
	}
	return 60*h + m, nil
}
