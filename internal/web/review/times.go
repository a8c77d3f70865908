package review

import (
	"math"
	"time"

	"selvage/internal/seating"
	"selvage/internal/work"
)

// times tells how long a case took: minutes from the first scan to the dentist's word on
// the same day, days from the first hand-off to the work's coming back, and days from the
// first scan to the visit at which it was seated. NaN where it cannot be told.
func times(c work.Case) (toWord, away, toSeat float64) {
	toWord, away, toSeat = math.NaN(), math.NaN(), math.NaN()
	if len(c.Scans) == 0 {
		return toWord, away, toSeat
	}
	begun := c.Scans[0].Added
	sameDay := func(t time.Time) bool {
		return t.Local().Format(time.DateOnly) == begun.Local().Format(time.DateOnly)
	}
	if c.Decided != nil && c.Decided.What.Choice == work.Accept && sameDay(c.Decided.At) {
		toWord = c.Decided.At.Sub(begun).Minutes()
	}
	if len(c.Sent) > 0 && len(c.Back) > 0 && c.Back[0].At.After(c.Sent[0].At) {
		if came, err := time.ParseInLocation(time.DateOnly, c.Back[0].Day, time.Local); err == nil {
			away = days(c.Sent[0].At, came)
		}
	}
	for _, v := range c.Visits {
		if v.Outcome != seating.Remake {
			toSeat = days(begun, v.Day())
			break
		}
	}
	return toWord, away, toSeat
}

// days counts midnights.
func days(from, to time.Time) float64 {
	y, m, d := from.Local().Date()
	a := time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
	y, m, d = to.Local().Date()
	return math.Round(time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Sub(a).Hours() / 24)
}

// Scanning is one case as the person who brought its scans learns from it.
type Scanning struct {
	Case   string
	Day    time.Time
	Clean  bool    // the first full check asked for no scan
	Done   bool    // one of them asked for none in the end
	Checks int     // full checks until one asked for no scan, or the last
	Took   float64 // minutes from the first scan to the end of that check; NaN where none did
}

// Share is what the case adds to a growth curve: 1 where the first check asked for no scan,
// 1/2 where the second did not, and so on; 0 where every check asked for one.
func (s Scanning) Share() float64 {
	if !s.Done {
		return 0
	}
	return 1 / float64(s.Checks)
}

// scanningOf tells how scanning went; ok is false where no full check ended.
func scanningOf(c work.Case) (s Scanning, ok bool) {
	if len(c.Scans) == 0 {
		return s, false
	}
	s = Scanning{Case: c.ID, Day: c.Scans[0].Added, Took: math.NaN()}
	for _, k := range c.Checks {
		if k.State != work.Done || k.Stage != final {
			continue
		}
		s.Checks++
		clean := k.Verdict != scanAgain
		if s.Checks == 1 {
			s.Clean = clean
		}
		if clean {
			s.Done, s.Took = true, k.Ended.Sub(s.Day).Minutes()
			break
		}
	}
	return s, s.Checks > 0
}
