package finding

import (
	"selvage/measure"
	"selvage/tooth"
)

// Call says how a finding came about.
type Call string

// The calls.
const (
	Proven   Call = "proven"    // beyond the flag limit by more than the uncertainty, or not a matter of number
	TooClose Call = "too-close" // nearer to the flag limit than the uncertainty
	Advised  Call = "advised"   // beyond the advise limit only
)

// Finding is one thing worth saying about a case.
type Finding struct {
	Code        Code
	Action      Action
	Call        Call
	Restoration int            // index into Facts.Restorations; -1 for the whole case
	Surface     tooth.Surface  // empty where none applies
	Tooth       tooth.Number   // the tooth it lies on; zero where none applies
	Place       *measure.Place // where; nil where no one place
	Scan        Role           // the scan concerned, also where there is no place; empty if none
	Measured    measure.Value  // the value judged; not measured where no number applies
	Limit       float64        // the level that it was held against, in Measured's unit; valid if HasLimit
	HasLimit    bool
	Text        string    // what was found
	Advice      string    // what to do
	Source      string    // where the limit comes from
	Approach    *Approach // how to hold the scanner; nil where none applies
	Missing     []string  // names of missing fields, for prescription-incomplete
	Spot        string    // a few words for the verdict line, such as "distal margin"

	step     int     // the step of the verdict order that it decides; 0 if none
	region   Region  // of a patch, for what rests on it
	severity float64 // how far beyond its limit, as a share of it
}

// Verdict is the answer to "may the patient go?".
type Verdict string

// The verdicts.
const (
	Clear           Verdict = "clear"
	ScanAgainNow    Verdict = "scan-again"
	AskDentistFirst Verdict = "ask-dentist"
	NotChecked      Verdict = "not-checked"
)

// Verdicts lists the verdicts.
func Verdicts() []Verdict {
	return []Verdict{Clear, ScanAgainNow, AskDentistFirst, NotChecked}
}

// Absent is a measure that the stage needs and that was not made.
type Absent struct {
	Restoration int    // index into Facts.Restorations; -1 for the whole case
	Measure     string // name in the report, such as clearance_patch_min_mm
	Why         string
}

// Judgement is the outcome of [Judge].
type Judgement struct {
	Verdict  Verdict
	Step     int       // the step of the order that decided, 1 to 6; see [JudgeIn]
	Line     string    // the verdict in one line, for the screen
	Findings []Finding // worst first
	Absent   []Absent  // what decided not-checked, or would have
}
