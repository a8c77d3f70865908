package finding

import (
	"slices"
	"strings"
)

// The steps of the verdict order at which a finding decides. Step 5 belongs to
// absent measures, step 6 to a clear case.
const (
	stepFiles   = 1 // wrong file, mouth or tooth
	stepRests   = 2 // surface or bite wanting on which a measure rests
	stepDentist = 3 // may need the bur
	stepCapture = 4 // margin, contact area, other surface wanting
	stepAbsent  = 5 // a measure that the stage needs is absent
	stepClear   = 6 // none of these
)

// rests lists the codes whose findings pull the ground from under a measure.
// Patches decide by their region instead.
var rests = [...]Code{BiteDiffers, BitePenetrates, BiteOpen}

// stepOf returns the step at which a finding decides, 0 if it decides nothing.
// A file that is missing altogether decides at step 5, through the measures that
// need it ("Not checked: no opposing arch").
func stepOf(d draft, a Action) int {
	switch {
	case d.code == ScanMissing:
		return 0
	case a == CheckFiles:
		return stepFiles
	case a == AskDentist:
		return stepDentist
	case a != ScanAgain && a != OpenMargin:
		return 0
	case d.step != 0:
		return d.step
	case slices.Contains(rests[:], d.code):
		return stepRests
	default:
		return stepCapture
	}
}

// verdict applies the order to sorted findings and absent measures.
func (j *judge) verdict() Judgement {
	out := Judgement{Findings: j.out, Absent: j.absent}
	step := 0
	if len(j.out) > 0 {
		step = j.out[0].step
	}
	out.Step = step
	switch step {
	case stepFiles:
		out.Verdict = NotChecked
		out.Line = j.c.line("line.not-checked", j.out[0].Spot)
	case stepRests, stepCapture:
		out.Verdict = ScanAgainNow
		key := "line.scan-again"
		if j.out[0].Action == OpenMargin {
			key = "line.open-margin"
		}
		out.Line = j.c.line(key, j.spots(step))
	case stepDentist:
		out.Verdict = AskDentistFirst
		out.Line = j.c.line("line.ask-dentist", j.out[0].Spot)
	default:
		if len(j.absent) > 0 {
			out.Step, out.Verdict = stepAbsent, NotChecked
			out.Line = j.c.line("line.not-checked", j.absent[0].Why)
			return out
		}
		out.Step, out.Verdict = stepClear, Clear
		out.Line = j.c.line("line.clear", "")
	}
	return out
}

// spots names the first two different places of the findings that decide, and how
// many more there are.
func (j *judge) spots(step int) string {
	const shown = 2 // more cannot be read at two metres
	var all []string
	for _, f := range j.out {
		if f.step == step && !slices.Contains(all, f.Spot) {
			all = append(all, f.Spot)
		}
	}
	if len(all) <= shown {
		return strings.Join(all, ", ")
	}
	return j.c.more(strings.Join(all[:shown], ", "), len(all)-shown)
}
