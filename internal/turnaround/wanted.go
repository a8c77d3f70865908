package turnaround

import "selvage/calendar"

// Wanted are the days that people want; 0 where none was given.
type Wanted struct{ Due, Seat calendar.Date }

// Clash is why a wanted day cannot be kept, and the nearest that can.
type Clash struct {
	Why     Why
	Wanted  calendar.Date
	Nearest calendar.Date
	Days    int // working days by which it is too early, or that lie between
}

// Why is what is wrong with a day.
type Why string

// The reasons.
const (
	DueTooEarly   Why = "due-too-early"   // the work cannot be back by then
	DueClosed     Why = "due-closed"      // the practice is closed
	SeatTooEarly  Why = "seat-too-early"  // the work cannot be back, and inspected, by then
	SeatTooSoon   Why = "seat-too-soon"   // too few working days after the due date
	SeatClosed    Why = "seat-closed"     // the practice is closed
	SeatBeforeDue Why = "seat-before-due" // the order is wrong
)

// Reasons lists them.
func Reasons() []Why {
	return []Why{DueTooEarly, DueClosed, SeatTooEarly, SeatTooSoon, SeatClosed, SeatBeforeDue}
}

// Clashes holds what is wanted against what can be: at most one clash for each day, the
// worst. The nearest seat keeps the buffer after the due date that then holds.
func (r Route) Clashes(f Forecast, w Wanted) ([]Clash, error) {
	var out []Clash
	due := f.Due // that then holds
	if w.Due != 0 {
		switch {
		case w.Due < f.Due:
			out = append(out, Clash{DueTooEarly, w.Due, f.Due, r.Practice.Between(w.Due, f.Due)})
		case !r.Practice.Works(w.Due):
			near, err := r.Practice.Add(w.Due, 0)
			if err != nil {
				return nil, err
			}
			out, due = append(out, Clash{Why: DueClosed, Wanted: w.Due, Nearest: near}), near
		default:
			due = w.Due
		}
	}
	if w.Seat == 0 {
		return out, nil
	}
	near, err := r.Practice.Add(due, r.Buffer)
	if err != nil {
		return nil, err
	}
	c := Clash{Wanted: w.Seat, Nearest: near}
	switch {
	case w.Due != 0 && w.Seat < w.Due:
		c.Why = SeatBeforeDue
	case w.Seat < f.Seat:
		c.Why, c.Days = SeatTooEarly, r.Practice.Between(w.Seat, f.Seat)
	case r.Practice.Between(due, w.Seat) < r.Buffer:
		c.Why, c.Days = SeatTooSoon, r.Practice.Between(due, w.Seat)
	case !r.Practice.Works(w.Seat):
		c.Why = SeatClosed
		if c.Nearest, err = r.Practice.Add(w.Seat, 0); err != nil {
			return nil, err
		}
	default:
		return out, nil
	}
	return append(out, c), nil
}
