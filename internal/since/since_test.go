package since_test

import (
	"slices"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/since"
	"selvage/measure"
	"selvage/tooth"
)

func of(v float64) *float64 { return &v }

// found is a proven finding on a side, measured with U 0.1 against a limit of 0.5.
func found(code finding.Code, side tooth.Surface, v float64) casefile.Finding {
	return casefile.Finding{Code: code, Action: finding.ScanAgain, Call: finding.Proven, Surface: side, Measured: of(v), Limit: of(0.5), U: of(0.1), Unit: "mm", Text: string(code)}
}

func report(verdict finding.Verdict, list ...casefile.Finding) casefile.Report {
	r := casefile.RestorationReport{Tooth: casefile.ToothNames{FDI: "26"}, Findings: list}
	r.Measures.ClearancePatch = casefile.Of(measure.Of(1, 0.1, measure.MM))
	return casefile.Report{Stage: finding.Final, Verdict: verdict, Restorations: []casefile.RestorationReport{r}}
}

// note is a finding that is only noted.
func note(code finding.Code, v float64) casefile.Finding {
	f := found(code, "", v)
	f.Action, f.Call = finding.Note, finding.TooClose
	return f
}

// bite is a report with one finding on the whole case, and the bite measured or not.
func bite(verdict finding.Verdict, f casefile.Finding, made bool) casefile.Report {
	r := report(verdict)
	if f.Code != "" {
		r.Findings = []casefile.Finding{f}
	}
	if made {
		r.Bite.PenetrationMM = casefile.Of(measure.Of(0, 0.05, measure.MM))
	}
	return r
}

// doubled is a report on a tooth whose surface is doubled, and whose undercut was measured.
func doubled() casefile.Report {
	r := report(finding.ScanAgainNow, found(finding.SurfaceDoubled, "", 4))
	r.Restorations[0].Measures.UndercutDepth = casefile.Of(measure.Of(0, 0.02, measure.MM))
	return r
}

func states(all []since.Change) []since.State {
	var out []since.State
	for _, c := range all {
		out = append(out, c.State)
	}
	return out
}

func TestCompare(t *testing.T) {
	const again = finding.ScanAgainNow
	unclear, gone := finding.MarginUnclear, finding.MarginNotCaptured
	for _, c := range []struct {
		name    string
		was, is casefile.Report
		want    []since.State
	}{
		{"put right", report(again, found(unclear, "distal", 2)), report(finding.Clear), []since.State{since.Resolved}},
		{"new", report(finding.Clear), report(again, found(unclear, "distal", 2)), []since.State{since.New}},
		{"no more than both uncertainties", report(again, found(unclear, "distal", 2)), report(again, found(unclear, "distal", 2.14)), []since.State{since.Still}},
		{"worse", report(again, found(unclear, "distal", 2)), report(again, found(unclear, "distal", 2.15)), []since.State{since.Worse}},
		{"better", report(again, found(unclear, "distal", 2)), report(again, found(unclear, "distal", 1)), []since.State{since.Better}},
		{"less room is worse", report(again, found(finding.ClearanceLow, "", 0.4)), report(again, found(finding.ClearanceLow, "", 0.1)), []since.State{since.Worse}},
		{"one of two", report(again, found(unclear, "distal", 2), found(unclear, "mesial", 3)), report(again, found(unclear, "mesial", 3)), []since.State{since.Still, since.Resolved}},
		{"moved on", report(again, found(unclear, "distal", 2)), report(again, found(unclear, "mesial", 2)), []since.State{since.Still}},
		{"another code", report(again, found(unclear, "distal", 2)), report(again, found(gone, "distal", 2)), []since.State{since.New, since.Resolved}},
		{"nothing known", report(again, found(finding.Undercut, "distal", 2)), report(finding.NotChecked), []since.State{since.Untold}},
		{"room is known", report(again, found(finding.ClearanceLow, "", 0.2)), report(finding.NotChecked), []since.State{since.Resolved}},
		{"bite not measured", bite(again, found(finding.BitePenetrates, "", 2), true), bite(finding.NotChecked, casefile.Finding{}, false), []since.State{since.Untold}},
		{"bite put right", bite(again, found(finding.BitePenetrates, "", 2), true), bite(finding.Clear, casefile.Finding{}, true), []since.State{since.Resolved}},
		{"room on a doubtful bite", report(again, found(finding.ClearanceLow, "", 0.2)), bite(again, found(finding.BitePenetrates, "", 2), true), []since.State{since.New, since.Untold}},
		{"a wall that is doubled", report(again, found(finding.Undercut, "", 2)), doubled(), []since.State{since.New, since.Untold}},
		{"too close to act now", report(again, found(finding.FinishLineNarrow, "", 0.38)), report(finding.Clear, note(finding.FinishLineNarrow, 0.42)), []since.State{since.Still}},
		{"too close to act before", report(finding.Clear, note(finding.FinishLineNarrow, 0.42)), report(again, found(finding.FinishLineNarrow, "", 0.38)), []since.State{since.Still}},
		{"only a note left", report(again, found(finding.FinishLineNarrow, "", 0.1)), report(finding.Clear, note(finding.FinishLineNarrow, 0.45)), []since.State{since.Better}},
		{"nothing", report(finding.Clear), report(finding.Clear), nil},
	} {
		if got := states(since.Compare(c.was, c.is)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Stages ask different things, and what is only noted is no work that could be done.
func TestLeavesOut(t *testing.T) {
	was := report(finding.ScanAgainNow, found(finding.MarginUnclear, "distal", 2))
	other := report(finding.Clear)
	other.Stage = finding.Preparation
	if got := since.Compare(was, other); len(got) > 0 {
		t.Errorf("two stages were compared: %v", states(got))
	}
	if got := since.Compare(report(finding.Clear), report(finding.Clear, note(finding.SharpEdge, 0.1))); len(got) > 0 {
		t.Errorf("a note is a change: %v", states(got))
	}
}

// Comparing a report with itself finds nothing new, nothing gone, nothing moved.
func TestItself(t *testing.T) {
	r := report(finding.ScanAgainNow, found(finding.MarginUnclear, "distal", 2), found(finding.MarginUnclear, "distal", 1), found(finding.ClearanceLow, "", 0.3))
	for _, c := range since.Compare(r, r) {
		if c.State != since.Still || c.Was == nil || *c.Was.Measured != *c.Is.Measured {
			t.Errorf("%+v", c)
		}
	}
}
