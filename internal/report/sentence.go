package report

import (
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/tooth"
)

// marginSentence says the margin in one sentence, for the diagram's text and for
// the terminal.
func (in Input) marginSentence(m casefile.Margin) string {
	w := in.words()
	mm := func(v float64) string { return w.num(finding.ShowPlain(measure.Of(v, max(m.U, 0.05), measure.MM))) }
	state := w.T("margin.round")
	if !m.Closed {
		state = w.T("margin.open")
	}
	s := w.T("margin") + " " + state + ", " + mm(m.LengthMM) + " " + w.T("margin.length")
	if m.UnclearMM > 0 {
		s += ", " + mm(m.UnclearMM) + " " + w.T("margin.unclear")
	}
	if m.NotCapturedMM > 0 {
		s += ", " + mm(m.NotCapturedMM) + " " + w.T("margin.missing")
	}
	return s + "."
}

// cutHold parts the advice of a finding that says how to hold the scanner: what to
// do, and the last sentence, which is how. hold is empty where there is no approach.
func cutHold(f casefile.Finding) (do, hold string) {
	k := strings.LastIndex(strings.TrimSpace(f.Advice), ". ")
	if f.Approach == nil || k < 0 || f.Action != finding.ScanAgain && f.Action != finding.OpenMargin {
		return f.Advice, ""
	}
	return f.Advice[:k+1], f.Advice[k+2:]
}

// where names the tooth and side of a finding, in short.
func (w *Words) where(f casefile.Finding) string {
	n, err := tooth.Parse(tooth.FDI, f.Tooth)
	if err != nil {
		return w.side(string(f.Surface))
	}
	return strings.TrimSpace(f.Tooth + " " + w.side(f.Surface.Word(n)))
}

// leastRoom is the dentist's one number for restoration r: the least room over a
// patch, or the reason why there is none.
func (in Input) leastRoom(r int) (value, why string) {
	m := in.Report.Restorations[r].Measures.ClearancePatch
	if !m.Measured() {
		return "", in.words().reason(inert(m.Not))
	}
	return in.words().num(show(m, measure.MM)), ""
}
