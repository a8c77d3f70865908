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
	note := found(finding.SharpEdge, "", 0.1)
	note.Action = finding.Note
	if got := since.Compare(report(finding.Clear), report(finding.Clear, note)); len(got) > 0 {
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
