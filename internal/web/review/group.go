package review

import (
	"slices"
	"strings"

	"selvage/finding"
	"selvage/internal/seating"
	"selvage/quality"
)

// Group is the works that share something.
type Group struct {
	Key     string
	Right   quality.Rate
	Remade  quality.Rate
	Minutes quality.Spread // of adjusting at the first visit
}

// GroupOf counts works.
func GroupOf(key string, works []Work) Group {
	right, remade := 0, 0
	var minutes []float64
	for _, w := range works {
		if w.Right {
			right++
		}
		if w.Remade {
			remade++
		}
		minutes = append(minutes, w.Minutes)
	}
	return Group{Key: key, Right: quality.NewRate(right, len(works)), Remade: quality.NewRate(remade, len(works)), Minutes: quality.NewSpread(minutes)}
}

// By groups works by what keys returns, the largest group first. Work with several keys, of
// several people say, counts in each; work with none in the group without a key. WHY not by
// rate: the first of a list by rate is mostly the smallest.
func By(works []Work, keys func(Work) []string) []Group {
	in := map[string][]Work{}
	for _, w := range works {
		ks := keys(w)
		if len(ks) == 0 {
			ks = []string{""}
		}
		for _, k := range ks {
			in[k] = append(in[k], w)
		}
	}
	var out []Group
	for k, ws := range in { // sorted below
		out = append(out, GroupOf(k, ws))
	}
	slices.SortFunc(out, func(a, b Group) int {
		if a.Right.Of != b.Right.Of {
			return b.Right.Of - a.Right.Of
		}
		return strings.Compare(a.Key, b.Key)
	})
	return out
}

// Count is how many works of all something is true of.
type Count struct {
	Key  string
	Rate quality.Rate
}

// Reasons counts for what work was made again, of all work. One remake may have several.
func Reasons(works []Work) []Count {
	var out []Count
	for _, f := range seating.Faults() {
		n := 0
		for _, w := range works {
			if w.Remade && slices.Contains(w.Seen, f) {
				n++
			}
		}
		if n > 0 {
			out = append(out, Count{Key: string(f), Rate: quality.NewRate(n, len(works))})
		}
	}
	slices.SortStableFunc(out, func(a, b Count) int { return b.Rate.Hits - a.Rate.Hits })
	return out
}

// NotRight counts why work was not right the first time, of all work.
func NotRight(works []Work) []Count {
	var out []Count
	for _, y := range Whys() {
		n := 0
		for _, w := range works {
			if slices.Contains(w.Why, y) {
				n++
			}
		}
		out = append(out, Count{Key: string(y), Rate: quality.NewRate(n, len(works))})
	}
	return out
}

// Judged is what became of one finding code.
type Judged struct {
	Code   finding.Code
	False  quality.Rate // not right, of those of which a dentist said something
	Silent int          // remakes that it, or another of its family, should have spoken of, and none did
	Spoke  int          // remakes for what it spoke of at hand-off
}

// Judgements lists the codes of which anything is known, in the order of codes.
func Judgements(f Facts) []Judged {
	var out []Judged
	for _, c := range finding.Codes() {
		wrong, taps := 0, 0
		for _, t := range f.Taps {
			if t.Code != c {
				continue
			}
			if taps++; !t.Right {
				wrong++
			}
		}
		j := Judged{Code: c, False: quality.NewRate(wrong, taps)}
		for _, m := range f.Misses {
			if m.Missed() && slices.Contains(m.Silent, c) {
				j.Silent++
			}
			if slices.Contains(m.Seen, c) {
				j.Spoke++
			}
		}
		if j.False.Of+j.Silent+j.Spoke > 0 {
			out = append(out, j)
		}
	}
	return out
}
