package seating

import "slices"

// Record is all that was noted of a case's visits to seat, in the order in which it was
// noted.
type Record struct {
	Tried    []Tried      `json:"tried,omitempty"`
	Adjusted []Adjustment `json:"adjusted,omitempty"`
	Views    []View       `json:"views,omitempty"`
	Paid     []Paid       `json:"paid,omitempty"`
}

// Last returns the last word on a step of a visit.
func (r Record) Last(visit int, s Step) (Tried, bool) {
	for _, t := range slices.Backward(r.Tried) {
		if t.Visit == visit && t.Step == s {
			return t, true
		}
	}
	return Tried{}, false
}

// Next returns the first step of a visit of which nothing is said; ok is false where all
// steps have their word.
func (r Record) Next(visit int) (s Step, ok bool) {
	for _, s := range Steps() {
		if _, said := r.Last(visit, s); !said {
			return s, true
		}
	}
	return "", false
}

// Early lists the steps before s that have no word yet and without which s misleads.
func (r Record) Early(visit int, s Step) []Step {
	return slices.DeleteFunc(s.Before(), func(b Step) bool {
		_, said := r.Last(visit, b)
		return said
	})
}

// Minutes is how long was adjusted at a step of a visit; at all steps for an empty one.
func (r Record) Minutes(visit int, s Step) int {
	n := 0
	for _, a := range r.Adjusted {
		if a.Visit == visit && (s == "" || a.Step == s) {
			n += a.Minutes
		}
	}
	return n
}

// View returns the last word of a party on a visit, and its earlier words, in order.
func (r Record) View(visit int, p Party) (last View, before []View, ok bool) {
	for _, v := range r.Views {
		if v.Visit != visit || v.Party != p {
			continue
		}
		if ok {
			before = append(before, last)
		}
		last, ok = v, true
	}
	return last, before, ok
}

// Payer returns the last word on who pays for a visit, and the earlier ones, in order.
func (r Record) Payer(visit int) (last Paid, before []Paid, ok bool) {
	for _, v := range r.Paid {
		if v.Visit != visit {
			continue
		}
		if ok {
			before = append(before, last)
		}
		last, ok = v, true
	}
	return last, before, ok
}

// Seen lists what was seen wrong at a visit: at the visit itself, and by any party's last
// word, each once, in the order of [Faults].
func (r Record) Seen(visit int, s Seated) []Fault {
	seen := map[Fault]bool{s.Seen: true}
	for _, p := range Parties() {
		if v, _, ok := r.View(visit, p); ok {
			for _, f := range v.Seen {
				seen[f] = true
			}
		}
	}
	return slices.DeleteFunc(Faults(), func(f Fault) bool { return !seen[f] })
}

// Origins lists the likely origins by any party's last word, each once, in the order of
// [Origins].
func (r Record) Origins(visit int) []Origin {
	seen := map[Origin]bool{}
	for _, p := range Parties() {
		if v, _, ok := r.View(visit, p); ok {
			for _, o := range v.Origins {
				seen[o] = true
			}
		}
	}
	return slices.DeleteFunc(Origins(), func(o Origin) bool { return !seen[o] })
}
