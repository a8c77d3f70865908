// Package turnaround tells when work can be back from who makes it, and on which day it
// can be seated: working days with holidays, cut-off, carrier, queries, and the days that
// lie between. It counts days and knows no clock; whoever asks brings the present moment.
package turnaround

import (
	"slices"

	"selvage/calendar"
)

// Route is how work goes to who makes it and comes back.
//
// All counting is in working days. A day counts for the maker if the work had been
// accepted, and no query was open, at the cut-off of that day.
type Route struct {
	Practice calendar.Week // when work can be received and seated
	Maker    calendar.Week // when it is made
	Carrier  calendar.Week // when it travels
	CutOff   int           // minute of the day after which the maker counts from the next; 0: midnight
	Days     int           // of the maker, from acceptance to dispatch; 1 is the day after it
	Out      int           // days on the way to the maker; 0 where only files are sent
	Back     int           // days on the way back
	Buffer   int           // least working days of the practice from due to seat
	Late     int           // days of the maker by which it is late as a rule; see [Lateness]
}

// Pause is a query of the maker: the clock stands from asked to answered.
type Pause struct {
	Asked    Moment
	Answered Moment
	Open     bool // not answered yet
}

// Forecast is when work can be back, and seated.
type Forecast struct {
	Counted calendar.Date // the first day of the maker that counts as the day of acceptance
	Assumed bool          // not accepted yet; taken to be accepted as soon as it can be
	Leaves  calendar.Date // the maker
	Due     calendar.Date // the first day on which it can be in the practice
	Seat    calendar.Date // the first day on which it can be seated, the buffer kept
	Paused  int           // working days of the maker on which a query was open
	Waiting bool          // a query is open now: every day unanswered is a day later
}

// Forecast counts from when the work was sent, and accepted where it was. An open query
// is counted as answered now. Cost: O(days).
func (r Route) Forecast(sent Moment, accepted *Moment, pauses []Pause, now Moment) (Forecast, error) {
	var f Forecast
	from := sent
	switch {
	case accepted != nil:
		from = *accepted
	default:
		f.Assumed = true
		if r.Out > 0 {
			day, err := r.Carrier.Add(sent.Day, r.Out)
			if err != nil {
				return f, err
			}
			from = Moment{Day: day}
		}
		if now.Compare(from) > 0 {
			from = now
		}
	}
	var err error
	if f.Counted, err = r.counted(from); err != nil {
		return f, err
	}
	f.Waiting = slices.ContainsFunc(pauses, func(p Pause) bool { return p.Open })
	day := f.Counted
	for left := r.Days + r.Late; left > 0; {
		if day, err = r.Maker.Add(day, 1); err != nil {
			return f, err
		}
		if r.paused(day, pauses, now) {
			f.Paused++
			continue
		}
		left--
	}
	f.Leaves = day
	if r.Back > 0 {
		if day, err = r.Carrier.Add(day, r.Back); err != nil {
			return f, err
		}
	}
	if f.Due, err = r.Practice.Add(day, 0); err != nil {
		return f, err
	}
	f.Seat, err = r.Practice.Add(f.Due, r.Buffer)
	return f, err
}

// counted returns the first working day of the maker whose cut-off is not before m.
func (r Route) counted(m Moment) (calendar.Date, error) {
	day := m.Day
	if r.CutOff > 0 && m.Minute > r.CutOff && r.Maker.Works(day) {
		day++
	}
	return r.Maker.Add(day, 0)
}

// paused reports whether a query was open at the cut-off of a day. Of a query that is
// open still, the days to come are not counted: it is taken as answered now.
func (r Route) paused(day calendar.Date, pauses []Pause, now Moment) bool {
	cut := Moment{Day: day, Minute: r.CutOff}
	if r.CutOff == 0 {
		cut.Minute = 24*60 - 1
	}
	return slices.ContainsFunc(pauses, func(p Pause) bool {
		end := p.Answered
		if p.Open {
			end = now
		}
		return p.Asked.Compare(cut) <= 0 && end.Compare(cut) > 0
	})
}

// Delivery is one piece of work that came back: when it had been promised, and when it
// came.
type Delivery struct{ Promised, Came calendar.Date }

// enough is how many deliveries it takes to learn from.
const enough = 10

// Lateness returns by how many working days a maker is late in at most one delivery of
// five; known is false where there are too few to tell.
func Lateness(week calendar.Week, record []Delivery) (days int, known bool) {
	if len(record) < enough {
		return 0, false
	}
	late := make([]int, len(record))
	for i, d := range record {
		late[i] = max(0, week.Between(d.Promised, d.Came))
	}
	slices.Sort(late)
	return late[(4*len(late)+4)/5-1], true
}
