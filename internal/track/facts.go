// Package track tells where a case stands on its way to the laboratory and back, and which
// of many cases presses most. It rests on a few facts of each case, so that a board of very
// many can be kept in memory, and knows neither events nor clocks.
package track

import (
	"selvage/calendar"
	"selvage/internal/query"
	"selvage/tooth"
)

// Form is the form of [Facts] as they are stored. It grows where they change their meaning,
// so that what an earlier version of the program stored is computed anew.
const Form = 2

// Facts are what the standing of a case rests on. A day that is not known is 0.
type Facts struct {
	Name  string       `json:"name,omitempty"`
	Tooth tooth.Number `json:"tooth,omitempty"` // the first one prepared
	Lab   string       `json:"lab,omitempty"`
	House bool         `json:"house,omitempty"` // it is made in the house

	Sent    int64         `json:"sent,omitempty"`    // when, in milliseconds since 1970; 0: not yet
	Answer  Answer        `json:"answer,omitempty"`  // of the laboratory since then
	Replied int64         `json:"replied,omitempty"` // when its query was answered last since then, milliseconds since 1970
	Asked   bool          `json:"asked,omitempty"`   // a query waits
	To      query.Role    `json:"to,omitempty"`      // whom it is put to
	Owner   string        `json:"owner,omitempty"`   // who answers for it
	Until   calendar.Date `json:"until,omitempty"`   // by when
	Cut     bool          `json:"cut,omitempty"`     // the block was released to the mill
	Here    bool          `json:"here,omitempty"`    // it came back
	Whole   bool          `json:"whole,omitempty"`   // and all of it is sound
	Again   bool          `json:"again,omitempty"`   // it is to be made again, and was not sent since
	Over    bool          `json:"over,omitempty"`    // seated, or its files were deleted
	Loose   bool          `json:"loose,omitempty"`   // the temporary is loose or lost
	Since   calendar.Date `json:"since,omitempty"`   // a temporary has been in place since then
	Due     calendar.Date `json:"due,omitempty"`     // back in the practice
	Seat    calendar.Date `json:"seat,omitempty"`    // seated
	Changed int64         `json:"changed,omitempty"` // milliseconds since 1970
}

// Answer is what the laboratory answered last to what it was sent.
type Answer string

// The answers; the empty one is none.
const (
	Silent   Answer = ""
	Accepted Answer = "accept"
	Queried  Answer = "query"
	Refused  Answer = "refuse"
)

// Standing is where a case stands on its way, the most pressing first.
type Standing string

// The standings, in the order of their risk.
const (
	StandRefused  Standing = "refused"   // by the laboratory
	StandOverdue  Standing = "overdue"   // a query waits beyond its day
	StandLoose    Standing = "loose"     // the temporary: the patient is called the same day
	StandAsked    Standing = "asked"     // a query waits
	StandSeatSoon Standing = "seat-soon" // seated within two working days, and not here and inspected
	StandLate     Standing = "late"      // it should be here
	StandTemp     Standing = "temporary" // a temporary has been in place for too long
	StandRemake   Standing = "remake"    // to be made again
	StandToSend   Standing = "to-send"
	StandToCut    Standing = "to-cut"  // made in the house, and not cut
	StandInspect  Standing = "inspect" // here, and not inspected
	StandSilent   Standing = "silent"  // sent, or its query answered, before today, and not accepted
	StandOut      Standing = "out"     // at the laboratory
	StandHere     Standing = "here"    // inspected, to be seated
	StandSeated   Standing = "seated"
)

// Standings lists them in the order of their risk.
func Standings() []Standing {
	return []Standing{
		StandRefused, StandOverdue, StandLoose, StandAsked, StandSeatSoon, StandLate, StandTemp, StandRemake,
		StandToSend, StandToCut, StandInspect, StandSilent, StandOut, StandHere, StandSeated,
	}
}

// risk is the place of a standing in the order of risk. WHY beside [Standing]: a board looks
// at very many cases, and numbers are compared faster than words.
type risk uint8

const (
	refused risk = iota
	overdue
	loose
	asked
	seatSoon
	late
	temporary
	remake
	toSend
	toCut
	inspect
	silent
	out
	here
	seated
	risks // how many there are
)

func riskOf(s Standing) risk {
	for i, o := range Standings() {
		if o == s {
			return risk(i)
		}
	}
	return risks
}

// Chased reports whether a case of a standing waits for somebody here to do something today.
func (s Standing) Chased() bool { return riskOf(s) <= temporary || s == StandSilent }

// Standing tells where the case stands on a day.
func (f Facts) Standing(d Day) Standing { return Standings()[f.risk(&d)] }

func (f *Facts) risk(d *Day) risk {
	r := f.onTheWay(d)
	switch {
	case r == seated:
	case f.Loose && r > loose:
		return loose
	case f.tooLong(d) && r > temporary:
		return temporary
	}
	return r
}

// onTheWay is the standing without the temporary.
func (f *Facts) onTheWay(d *Day) risk {
	soon := f.Seat != 0 && f.Seat <= d.Soon
	switch {
	case f.Over:
		return seated
	case f.Again:
		return remake
	case f.House && f.Cut:
		return here
	case f.House:
		return toCut
	case f.Sent == 0 && soon:
		return seatSoon
	case f.Sent == 0:
		return toSend
	case f.Here && f.Whole:
		return here
	case f.Answer == Refused && !f.Here:
		return refused
	case f.Asked && !f.Here && f.Until != 0 && f.Until < d.Today:
		return overdue
	case f.Asked && !f.Here:
		return asked
	case soon:
		return seatSoon
	case f.Here:
		return inspect
	case f.Due != 0 && f.Due < d.Today:
		return late
	case f.Answer != Accepted && max(f.Sent, f.Replied) < d.Began:
		return silent
	}
	return out
}

// presses is the day on which what the standing is about hurts; 0: none is known.
func (f *Facts) presses(r risk) calendar.Date {
	switch {
	case (r == overdue || r == asked) && f.Until != 0:
		return f.Until
	case r == late && f.Due != 0:
		return f.Due
	case r == temporary:
		return f.Since
	}
	return f.Seat
}
