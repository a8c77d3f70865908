package study

import (
	"testing"

	"selvage/finding"
)

// TestTally counts a small made-up study by hand.
func TestTally(t *testing.T) {
	const low, bite = finding.ClearanceLow, finding.BiteDiffers
	codes := func(c ...finding.Code) []finding.Code { return c }
	trials := []Trial{
		{Number: 0, Verdict: finding.Clear, Expected: finding.Clear},
		{Number: 1, Faults: []string{"clearance-low"}, Due: codes(low), Raised: codes(low), Verdict: finding.AskDentistFirst, Expected: finding.AskDentistFirst},
		{Number: 2, Verdict: finding.AskDentistFirst, Expected: finding.Clear, Raised: codes(low), DueNotes: codes(bite), Noted: codes(bite)},
		{Number: 3, Faults: []string{"clearance-low"}, Due: codes(low), Verdict: finding.Clear, Expected: finding.AskDentistFirst},
		{Number: 4, Due: codes(low), Raised: codes(low), Close: codes(low), Verdict: finding.AskDentistFirst, Expected: finding.AskDentistFirst},
		{Number: 5, Faults: []string{"bite-differs"}, Due: codes(bite), Refused: "no working scan", Expected: finding.ScanAgainNow},
		{Number: 6, Faults: []string{"undercut"}, Failed: "no margin at azimuth 3°"},
	}
	r := tally(Options{Cases: len(trials)}, trials)
	if r.Sound != 3 || r.Failed != 1 || r.Refused != 1 {
		t.Errorf("sound %d, failed %d, refused %d, want 3, 1, 1", r.Sound, r.Failed, r.Refused)
	}
	if len(r.Codes) != 2 || r.Codes[0].Code != bite || r.Codes[1].Code != low {
		t.Fatalf("codes %+v, want %s then %s", r.Codes, bite, low)
	}
	if c := r.Codes[0]; c.Caught.Hits != 0 || c.Caught.Of != 1 || c.Missed != 1 || c.False.Of != 5 {
		t.Errorf("%s: %+v, want a refused check to miss and not to count as a false alarm", bite, c)
	}
	if c := r.Codes[0]; c.NotesDue != 1 || c.NotesGiven != 1 || c.NotesFree != 0 {
		t.Errorf("%s: notes due %d, given %d, without cause %d, want 1, 1, 0", bite, c.NotesDue, c.NotesGiven, c.NotesFree)
	}
	if c := r.Codes[1]; c.Caught.Hits != 1 || c.Caught.Of != 2 || c.Missed != 1 || c.False.Hits != 1 || c.False.Of != 2 || c.Close != 1 {
		t.Errorf("%s: %+v, want 1 of 2 caught, 1 of 2 false, 1 too close", low, c)
	}
	clear, ask := r.Verdicts[0], r.Verdicts[2]
	if clear.Cases != 2 || clear.Right.Hits != 1 {
		t.Errorf("clear: %+v, want 1 of 2 right", clear)
	}
	if ask.Cases != 2 || ask.Right.Hits != 1 {
		t.Errorf("ask-dentist: %+v, want 1 of 2 right, the close one left out", ask)
	}
	if scan := r.Verdicts[1]; scan.Given[len(finding.Verdicts())] != 1 {
		t.Errorf("scan-again: %+v, want one refused", scan)
	}
}

// TestExpected follows the order of the contract.
func TestExpected(t *testing.T) {
	for _, tt := range []struct {
		codes []finding.Code
		want  finding.Verdict
	}{
		{nil, finding.Clear},
		{[]finding.Code{finding.ConvergenceHigh}, finding.Clear},
		{[]finding.Code{finding.MarginNotCaptured}, finding.ScanAgainNow},
		{[]finding.Code{finding.MarginNotCaptured, finding.ClearanceLow}, finding.AskDentistFirst},
		{[]finding.Code{finding.ClearanceLow, finding.BiteDiffers}, finding.ScanAgainNow},
		{[]finding.Code{finding.BiteDiffers, finding.ScanMirrored}, finding.NotChecked},
	} {
		if got := expected(tt.codes); got != tt.want {
			t.Errorf("expected(%v) = %s, want %s", tt.codes, got, tt.want)
		}
	}
}
