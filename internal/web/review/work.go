package review

import (
	"slices"
	"time"

	"selvage/finding"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/work"
)

// Work is one tooth's work that was tried in at least once, as it counts.
type Work struct {
	Case string
	Day  time.Time // of the first visit

	// Right the first time: seated as first made, with at most five minutes of adjusting, no
	// visit in between to scan or cut again, and not made again later. Why says what was not
	// so.
	Right bool
	Why   []Why

	Minutes float64 // of adjusting at the first visit
	Remade  bool
	Seen    []seating.Fault // at the first visit after which it was made again
	Origins []seating.Origin
	Remake  int // the number of that visit

	Laboratory, Material, Tooth, Depth string
	Brought, Decided                   []string // who brought the scans; who prescribed, accepted or signed

	ToWord, Away, ToSeat float64 // see [Times]; NaN where it cannot be told
}

// Why is why work was not right the first time.
type Why string

// The reasons.
const (
	Remade       Why = "remade"
	ScannedAgain Why = "scanned-again" // on a later day
	Adjusted     Why = "adjusted"      // for more than five minutes
)

// Whys lists the reasons.
func Whys() []Why { return []Why{Remade, ScannedAgain, Adjusted} }

// workOf counts a case; ok is false where nothing was tried in yet.
func workOf(events []store.Event, c work.Case) (w Work, ok bool) {
	if len(c.Visits) == 0 {
		return w, false
	}
	first := c.Visits[0]
	w = Work{Case: c.ID, Day: first.Day(), Minutes: float64(first.Minutes), Laboratory: c.Order.Laboratory.Name, Remake: -1}
	if len(c.Order.Restorations) > 0 {
		r := c.Order.Restorations[0]
		w.Material, w.Tooth, w.Depth = string(r.Material), r.Tooth.Number().String(), string(r.MarginDepth)
		if r.MadeBy == "in-house" {
			w.Laboratory = string(r.MadeBy)
		}
	}
	for i, v := range c.Visits {
		if v.Outcome == seating.Remake && !w.Remade {
			w.Remade, w.Remake, w.Seen, w.Origins = true, i, c.Seating.Seen(i, v), c.Seating.Origins(i)
		}
	}
	if w.Remade {
		w.Why = append(w.Why, Remade)
	}
	if scanDays(c, first.Day()) > 1 {
		w.Why = append(w.Why, ScannedAgain)
	}
	if first.Outcome == seating.Adjusted || first.Minutes > seating.Easy {
		w.Why = append(w.Why, Adjusted)
	}
	w.Right = len(w.Why) == 0
	w.Brought, w.Decided = work.Hands(events)
	w.ToWord, w.Away, w.ToSeat = times(c)
	return w, true
}

// scanDays counts the days, until a visit, on which the prepared tooth was scanned. What is
// scanned on an earlier day of the other jaw, of the bite or before the tooth was cut is no
// return visit; nor is a scan of the crown.
func scanDays(c work.Case, until time.Time) int {
	var days []string
	for _, s := range c.Scans {
		if s.Added.After(until) || !slices.Contains([]finding.Role{"", finding.RoleWorking, finding.RolePreparation}, s.Role) {
			continue
		}
		if d := s.Added.Local().Format(time.DateOnly); !slices.Contains(days, d) {
			days = append(days, d)
		}
	}
	return len(days)
}

// People lists everybody who had a hand in the work, each once.
func (w Work) People() []string {
	out := slices.Clone(w.Brought)
	for _, p := range w.Decided {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}
