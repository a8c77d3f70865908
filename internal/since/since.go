// Package since tells what changed between two checks of one case: what was put right by
// scanning or cutting again, what is new, and what is still there, and by how much.
//
// It compares what the two reports say, not the surfaces: a second scan seldom lies in
// the frame of the first, and what counts is what each would have somebody do.
package since

import (
	"math"
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
)

// State is what became of a finding.
type State string

// The states, worst first.
const (
	New      State = "new"      // it was not there before
	Worse    State = "worse"    // farther beyond its limit than both uncertainties explain
	Still    State = "still"    // there, and not proven to have changed
	Better   State = "better"   // there, and proven to be nearer to its limit
	Untold   State = "untold"   // it was there, and this time was not measured: nobody knows
	Resolved State = "resolved" // it was there and is no more
)

// order ranks the states, worst first.
var order = []State{New, Worse, Still, Better, Untold, Resolved}

// Change is one finding of one check or of both.
type Change struct {
	State State
	Tooth string            // ISO 3950; empty where it is about the whole case
	Was   *casefile.Finding // nil where it is new
	Is    *casefile.Finding // nil where it is resolved or untold
}

// Compare returns what changed from one check of a case to the next, worst first and in
// the order of the reports; nothing where the two judged different stages, which ask
// different things.
//
// Two findings are the same where code and tooth agree; of several alike those of one
// surface go together first. One that is gone counts as resolved only where what it rests
// on was measured this time, and nothing new keeps it from being raised. What is only noted
// is left out, unless it acted before: then it is still there, or nearer to its limit.
func Compare(was, is casefile.Report) []Change {
	if was.Stage != is.Stage {
		return nil
	}
	told := func(c finding.Code) bool { return measured(c, casefile.Measures{}, is) }
	out := pair("", was.Findings, is.Findings, told)
	for _, r := range is.Restorations {
		i := slices.IndexFunc(was.Restorations, func(o casefile.RestorationReport) bool { return o.Tooth.FDI == r.Tooth.FDI })
		if i < 0 {
			continue
		}
		told := func(c finding.Code) bool { return measured(c, r.Measures, is) && !hushed(c, is.Findings, r.Findings) }
		out = append(out, pair(r.Tooth.FDI, was.Restorations[i].Findings, r.Findings, told)...)
	}
	slices.SortStableFunc(out, func(a, b Change) int { return slices.Index(order, a.State) - slices.Index(order, b.State) })
	return out
}

// pair compares the findings on one tooth, or on the whole case.
func pair(tooth string, was, is []casefile.Finding, told func(finding.Code) bool) []Change {
	partner := make([]int, len(is)) // of each finding now, that before; -1: none
	taken := make([]bool, len(was))
	for i := range partner {
		partner[i] = -1
	}
	for _, sameSide := range []bool{true, false} {
		for i := range is {
			if partner[i] >= 0 {
				continue
			}
			for j := range was {
				if !taken[j] && was[j].Code == is[i].Code && (!sameSide || was[j].Surface == is[i].Surface) {
					partner[i], taken[j] = j, true
					break
				}
			}
		}
	}
	var out []Change
	for i := range is {
		c := Change{State: New, Tooth: tooth, Is: &is[i]}
		acted := acts(is[i])
		if partner[i] >= 0 {
			c.Was = &was[partner[i]]
			c.State = trend(*c.Was, *c.Is)
			acted = acted || acts(*c.Was)
		}
		if acted {
			out = append(out, c)
		}
	}
	for j := range was {
		if taken[j] || !acts(was[j]) {
			continue
		}
		c := Change{State: Resolved, Tooth: tooth, Was: &was[j]}
		if !told(was[j].Code) {
			c.State = Untold
		}
		out = append(out, c)
	}
	return out
}

// acts reports whether somebody has to do something that a scan or the bur mends: not what
// is only noted, nor what is to be filled in.
func acts(f casefile.Finding) bool {
	return f.Action != finding.Note && f.Action != finding.FillIn
}

// trend tells whether a finding that stayed moved towards its limit or away from it, by
// more than both uncertainties: |x₂ - x₁| > √(U₁² + U₂²). Which way is worse the proven one
// of the two tells, by the side of its limit on which it lies.
func trend(was, is casefile.Finding) State {
	if was.Measured == nil || is.Measured == nil || is.Limit == nil || was.Unit != is.Unit {
		return Still
	}
	d := *is.Measured - *was.Measured
	if math.Abs(d) <= math.Hypot(u(was), u(is)) {
		return Still
	}
	side := *is.Measured - *is.Limit
	if is.Call != finding.Proven && was.Limit != nil {
		side = *was.Measured - *was.Limit
	}
	if d*side > 0 {
		return Worse
	}
	return Better
}

func u(f casefile.Finding) float64 {
	if f.U == nil {
		return 0
	}
	return *f.U
}

// measured reports whether what a code rests on was measured, in as far as a report tells.
func measured(c finding.Code, m casefile.Measures, rep casefile.Report) bool {
	margin := m.Margin.Not == ""
	switch c {
	case finding.MarginNotCaptured, finding.MarginUnclear, finding.MarginTwoLines:
		return margin
	case finding.ClearanceLow:
		return m.ClearancePatch.Measured()
	case finding.ReductionLow:
		return m.ReductionOccl.Measured() || m.ReductionAxial.Measured()
	case finding.Undercut:
		return m.UndercutDepth.Measured()
	case finding.PathBlocked:
		return m.PathOverlap.Measured()
	case finding.FinishLineNarrow:
		return m.FinishLine.Not == ""
	case finding.ResistanceLow:
		return m.Resistance.Measured()
	case finding.SamplingCoarse:
		return m.SpacingAtMargin.Measured()
	case finding.GapNarrow, finding.NeighbourContour, finding.NeighbourDamaged, finding.ContactAreaMissing:
		return margin && len(m.Neighbours) > 0
	case finding.BitePenetrates:
		return rep.Bite.PenetrationMM.Measured()
	case finding.BiteOpen:
		return rep.Bite.Contacts.Measured()
	case finding.BiteDiffers:
		return rep.Bite.ShiftMM.Measured()
	}
	return rep.Verdict != finding.NotChecked
}

// hushed reports whether something new keeps a code from being raised though its measure
// was made: on a doubtful bite no room is judged, and on surface that is doubled or was
// invented nothing of the tooth is.
func hushed(c finding.Code, lists ...[]casefile.Finding) bool {
	for _, list := range lists {
		for _, f := range list {
			switch f.Code {
			case finding.BiteDiffers, finding.BitePenetrates, finding.BiteOpen:
				if acts(f) && c == finding.ClearanceLow {
					return true
				}
			case finding.SurfaceDoubled, finding.SurfaceInvented:
				if c != f.Code && acts(f) {
					return true
				}
			}
		}
	}
	return false
}

// Counts is how many findings of each kind there are.
type Counts struct {
	Resolved, New, There, Untold int // There: worse, better or as it was
	Worse                        int // of those that are there
}

// Count counts changes.
func Count(all []Change) Counts {
	var n Counts
	for _, c := range all {
		switch c.State {
		case New:
			n.New++
		case Resolved:
			n.Resolved++
		case Untold:
			n.Untold++
		case Worse:
			n.Worse++
			n.There++
		case Still, Better:
			n.There++
		}
	}
	return n
}
