package report

import (
	"fmt"
	"math"
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
	mm := func(v float64) string { return finding.ShowPlain(measure.Of(v, max(m.U, 0.05), measure.MM)) }
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

// straightDeg is a tilt that nobody can hold by eye: up to it the tip is straight.
const straightDeg = 7.0

// hold says how to hold the tip for a finding; empty where nothing is known.
// Tilts are given to the nearest five degrees: a hand cannot do better.
func (in Input) hold(f casefile.Finding) string {
	w := in.words()
	if f.Approach == nil || f.Action != finding.ScanAgain && f.Action != finding.OpenMargin {
		return ""
	}
	if f.Approach.TiltDeg < straightDeg || f.Approach.From == tooth.Occlusal || f.Approach.From == "" {
		return w.T("hold.straight")
	}
	n, _ := tooth.Parse(tooth.FDI, f.Tooth)
	deg := fmt.Sprintf("%.0f°", 5*math.Round(f.Approach.TiltDeg/5))
	return fmt.Sprintf(w.T("hold.tilted"), deg, f.Approach.From.Word(n))
}

// where names the tooth and side of a finding, in short.
func where(f casefile.Finding) string {
	n, err := tooth.Parse(tooth.FDI, f.Tooth)
	if err != nil {
		return string(f.Surface)
	}
	return strings.TrimSpace(f.Tooth + " " + f.Surface.Word(n))
}

// leastRoom is the dentist's one number for restoration r: the least room over a
// patch, or the reason why there is none.
func (in Input) leastRoom(r int) (value, why string) {
	m := in.Report.Restorations[r].Measures.ClearancePatch
	if !m.Measured() {
		return "", m.Not
	}
	return show(m, measure.MM), ""
}
