// Package calendar does arithmetic on civil dates and working days, without
// clocks, time zones or the machine's own calendar.
//
// A [Date] is a day of the Gregorian calendar, extended backwards before 1582.
// Which days are worked is data: a [Week] says which weekdays and which single
// days are closed. There is no "today" here; whoever needs it brings it.
package calendar

import "fmt"

// Date is a civil date, counted in days from 1970-01-01, which is Date(0).
// Subtracting two Dates gives the days between them.
type Date int32

// Weekday numbers the days of the week from Monday, 0, to Sunday, 6.
type Weekday int

// The days of the week.
const (
	Monday Weekday = iota
	Tuesday
	Wednesday
	Thursday
	Friday
	Saturday
	Sunday
)

// String returns the English name.
func (w Weekday) String() string {
	names := [7]string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}
	if w < 0 || w > 6 {
		return "no day"
	}
	return names[w]
}

// New returns the date of a year, month and day; ok is false where the calendar
// has no such day, or the year is not 1 to 9999.
func New(year, month, day int) (d Date, ok bool) {
	if year < 1 || year > 9999 || month < 1 || month > 12 || day < 1 || day > DaysIn(year, month) {
		return 0, false
	}
	return fromCivil(year, month, day), true
}

// DaysIn returns the number of days of a month, 1 to 12; 0 for another month.
func DaysIn(year, month int) int {
	if month < 1 || month > 12 {
		return 0
	}
	if month == 2 && leap(year) {
		return 29
	}
	return [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
}

func leap(y int) bool { return y%4 == 0 && (y%100 != 0 || y%400 == 0) }

// fromCivil counts days with the year taken to begin on 1 March, so that the
// leap day is its last: 365 y + y/4 - y/100 + y/400 + (153 m + 2)/5 + d.
func fromCivil(year, month, day int) Date {
	y, m := year, month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	const epoch = 719469 // the same count for 1970-01-01, day counted from 1
	return Date(365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + day - epoch)
}

// Civil returns year, month and day.
func (d Date) Civil() (year, month, day int) {
	const era = 146097 // days in 400 years
	z := int(d) + 719468
	e := floorDiv(z, era)
	n := z - e*era                                // day of the era
	y := (n - n/1460 + n/36524 - n/(era-1)) / 365 // year of the era
	doy := n - (365*y + y/4 - y/100)              // day of the year, from 1 March
	m := (5*doy + 2) / 153                        // month from March
	year, month, day = y+e*400, m+3, doy-(153*m+2)/5+1
	if month > 12 {
		year, month = year+1, month-12
	}
	return year, month, day
}

// Weekday returns the day of the week. 1970-01-01 was a Thursday.
func (d Date) Weekday() Weekday {
	return Weekday(int(d) + 3 - floorDiv(int(d)+3, 7)*7)
}

// String returns the date as 2006-01-02 (ISO 8601).
func (d Date) String() string {
	y, m, day := d.Civil()
	return fmt.Sprintf("%04d-%02d-%02d", y, m, day)
}

// Parse reads a date written as 2006-01-02. A day that the calendar does not
// have, such as 2026-02-30, is an error that says so.
func Parse(s string) (Date, error) {
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return 0, fmt.Errorf("%q is not a date; write it as 2026-05-04", s)
	}
	var n [3]int
	for i, part := range [3]string{s[:4], s[5:7], s[8:]} {
		for _, c := range []byte(part) {
			if c < '0' || c > '9' {
				return 0, fmt.Errorf("%q is not a date; write it as 2026-05-04", s)
			}
			n[i] = n[i]*10 + int(c-'0')
		}
	}
	d, ok := New(n[0], n[1], n[2])
	if !ok {
		return 0, fmt.Errorf("there is no day %s in the calendar", s)
	}
	return d, nil
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
