package calendar

import (
	"errors"
	"slices"
)

// Week says which days are worked. The zero Week is Monday to Friday without
// holidays.
type Week struct {
	Free   []Weekday // weekdays never worked; nil means Saturday and Sunday
	Closed []Date    // single days off, in any order
	Open   []Date    // single days worked although Free or Closed says otherwise
}

// Works reports whether d is a working day.
func (w Week) Works(d Date) bool {
	if slices.Contains(w.Open, d) {
		return true
	}
	free := w.Free
	if free == nil {
		free = []Weekday{Saturday, Sunday}
	}
	return !slices.Contains(free, d.Weekday()) && !slices.Contains(w.Closed, d)
}

// horizon bounds the search for a working day: ten years without one is a
// mistake in the table of closed days.
const horizon = 3660

// ErrNeverOpen is returned where a Week has no working day within ten years.
var ErrNeverOpen = errors.New("no working day within ten years; look at the closed days")

// Add returns the n-th working day after d, or before it for negative n. For 0 it
// is d itself if worked, else the next working day. Cost: O(days passed).
func (w Week) Add(d Date, n int) (Date, error) {
	step := Date(1)
	if n < 0 {
		step, n = -1, -n
	}
	if n == 0 {
		if w.Works(d) {
			return d, nil
		}
		n = 1
	}
	idle := 0
	for n > 0 {
		d += step
		if w.Works(d) {
			n, idle = n-1, 0
			continue
		}
		if idle++; idle > horizon {
			return 0, ErrNeverOpen
		}
	}
	return d, nil
}

// Between counts the working days after from up to and including to; negative
// where to comes first, counting the days after to up to and including from.
// From a Friday to the Tuesday after it there are two. Cost: O(days passed).
func (w Week) Between(from, to Date) int {
	if to < from {
		return -w.Between(to, from)
	}
	n := 0
	for d := from + 1; d <= to; d++ {
		if w.Works(d) {
			n++
		}
	}
	return n
}
