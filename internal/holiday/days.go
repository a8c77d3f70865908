package holiday

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"selvage/calendar"
)

// Day is a holiday: the day on which it is kept.
type Day struct {
	Date calendar.Date
	Name string
}

// Days lists the holidays of a region that are kept in the years from and to, both
// included, in order of date. A holiday that falls on a weekend appears on its own day
// and on the day on which it is made up for.
func Days(r Region, from, to int) ([]Day, error) {
	table, ok := tables[r]
	if !ok {
		return nil, fmt.Errorf("there is no table of holidays for %q", r)
	}
	var out []Day
	// WHY a year more at each end: New Year's Day on a Saturday may be kept in December.
	for year := from - 1; year <= to+1; year++ {
		for _, h := range table {
			actual, kept := h.Calc(year)
			for i, t := range []time.Time{actual, kept} {
				if t.IsZero() || (i == 1 && kept.Equal(actual)) {
					continue
				}
				d, ok := calendar.New(t.Year(), int(t.Month()), t.Day())
				if ok && t.Year() >= from && t.Year() <= to {
					out = append(out, Day{Date: d, Name: h.Name})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Day) int { return cmp.Compare(a.Date, b.Date) })
	return slices.CompactFunc(out, func(a, b Day) bool { return a == b }), nil
}

// Week returns the working days of a region, Monday to Friday without its holidays, in
// the years from and to, with what else is closed.
func Week(r Region, from, to int, closed ...calendar.Date) (calendar.Week, error) {
	days, err := Days(r, from, to)
	if err != nil {
		return calendar.Week{}, err
	}
	w := calendar.Week{Closed: slices.Clone(closed)}
	for _, d := range days {
		w.Closed = append(w.Closed, d.Date)
	}
	return w, nil
}
