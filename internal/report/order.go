package report

import (
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
)

// Ranked is one finding with its number in the report.
type Ranked struct {
	N           int // from 1, worst first
	Restoration int // index; -1 for the whole case
	Index       int // in its list
	casefile.Finding
}

// Order lists all findings of a report, worst first. The lists of a report are
// worst first in themselves; they are merged by what their heads decide, so no
// list is reordered. Ties go to the earlier restoration, then to the whole case.
func Order(rep casefile.Report) []Ranked {
	lists := make([][]casefile.Finding, 0, len(rep.Restorations)+1)
	for _, r := range rep.Restorations {
		lists = append(lists, r.Findings)
	}
	lists = append(lists, rep.Findings)
	at := make([]int, len(lists))
	var out []Ranked
	for {
		best := -1
		for i, l := range lists {
			if at[i] < len(l) && (best < 0 || before(l[at[i]], lists[best][at[best]])) {
				best = i
			}
		}
		if best < 0 {
			return out
		}
		r := Ranked{N: len(out) + 1, Restoration: best, Index: at[best], Finding: lists[best][at[best]]}
		if best == len(rep.Restorations) {
			r.Restoration = -1
		}
		out = append(out, r)
		at[best]++
	}
}

// Numbering returns a function from (restoration, index) to the finding's number,
// 0 for none; restoration -1 is the whole case. It is what pictures need.
func Numbering(rep casefile.Report) func(restoration, i int) int {
	order := Order(rep)
	return func(restoration, i int) int {
		for _, r := range order {
			if r.Restoration == restoration && r.Index == i {
				return r.N
			}
		}
		return 0
	}
}

func before(a, b casefile.Finding) bool {
	for _, d := range [...]int{
		step(a) - step(b),
		slices.Index(finding.Actions(), a.Action) - slices.Index(finding.Actions(), b.Action),
		callRank(a.Call) - callRank(b.Call),
	} {
		if d != 0 {
			return d < 0
		}
	}
	return false
}

// step is the step of the verdict at which a finding decides, as far as a report
// tells it: 1 files, 2 the bite, on which measures rest, 3 the dentist, 4 other
// scanning, 5 nothing.
func step(f casefile.Finding) int {
	switch f.Action {
	case finding.CheckFiles:
		return 1
	case finding.AskDentist:
		return 3
	case finding.ScanAgain, finding.OpenMargin:
		switch f.Code {
		case finding.BiteDiffers, finding.BitePenetrates, finding.BiteOpen:
			return 2
		case finding.ScanMissing: // decides through the measures that it leaves absent
			return 5
		}
		return 4
	default:
		return 5
	}
}

func callRank(c finding.Call) int {
	switch c {
	case finding.Proven:
		return 0
	case finding.TooClose:
		return 1
	default:
		return 2
	}
}

// sorted is the findings by what a reader does with them.
type sorted struct {
	act    []Ranked // somebody must do something before the patient goes
	fill   []Ranked // the prescription lacks something
	notes  []Ranked // worth knowing
	ignore []Ranked // does not matter
}

func sortOut(all []Ranked) sorted {
	var s sorted
	for _, f := range all {
		switch {
		case f.Code == finding.Fragments:
			s.ignore = append(s.ignore, f)
		case f.Action == finding.FillIn:
			s.fill = append(s.fill, f)
		case f.Action == finding.Note:
			s.notes = append(s.notes, f)
		default:
			s.act = append(s.act, f)
		}
	}
	return s
}
