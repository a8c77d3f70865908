package finding

import (
	"slices"

	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// Judge holds facts against limits, in English. See [JudgeIn].
func Judge(f Facts, t limit.Table) Judgement { return JudgeIn(f, t, English()) }

// JudgeIn holds facts against a limit table and writes the texts from a catalogue.
//
// Every rule whose fact is present is applied, except where its fact rests on
// something that failed: nothing is raised from a file that is the wrong one, no
// clearance from a doubtful bite, no room and no undercut from a surface that is
// doubled or invented there. The verdict is the first that applies:
//
//  1. a finding to check the files: not-checked
//  2. surface or bite wanting on which a measure rests: scan-again
//  3. a finding that may need the dentist: ask-dentist
//  4. margin, contact area or other surface wanting: scan-again
//  5. a measure that the stage needs is absent: not-checked
//  6. clear
//
// Findings come worst first: by the step that they decide, then action, code,
// call and how far beyond the limit. Cost: O(facts). Deterministic.
func JudgeIn(f Facts, t limit.Table, c Catalogue) Judgement {
	if f.Stage == "" {
		f.Stage = Final
	}
	j := &judge{f: f, t: t, c: c}
	j.files()
	j.broken = j.brokenRoles()
	for i, r := range f.Restorations {
		j.found(i, r)
	}
	j.scans()
	j.bite()
	for i := range f.Restorations {
		j.restoration(i)
	}
	j.paper()
	j.needs()
	slices.SortStableFunc(j.out, compareFindings)
	return j.verdict()
}

// judge is the state of one judgement.
type judge struct {
	f      Facts
	t      limit.Table
	c      Catalogue
	broken map[Role]bool // roles whose file failed; looked up, never walked
	shaky  bool          // the bite failed: no clearance
	out    []Finding
	absent []Absent
}

// draft is a finding on its way: what the rule knows. Words come from the
// catalogue by code and variant.
type draft struct {
	code    Code
	variant string // of the words; empty for the usual ones
	call    Call   // Proven if not a matter of number
	rest    int    // index of the restoration, -1 for the case
	tooth   tooth.Number
	surface tooth.Surface
	scan    Role
	place   *measure.Place
	value   measure.Value // for {value}; its place is used if place is nil
	row     limit.Row     // for {limit} and the source; ignored if it has no ID
	level   float64       // the level of the row that the call is about, in the row's unit
	action  Action        // overrides the usual one where set
	step    int           // overrides the usual step where set
	region  Region        // of a patch
	spot    string        // key of the words for the place; empty: surface
	words   map[string]string
	appr    *Approach
	missing []string

	prepared tooth.Number // the prepared tooth of the restoration; filled in by raise
}

// wholeCase is the index of findings that concern no one restoration.
const wholeCase = -1

// raise turns a draft into a finding.
func (j *judge) raise(d draft) {
	if d.call == "" {
		d.call = Proven
	}
	if d.rest >= 0 {
		d.prepared = j.f.Restorations[d.rest].Prescription.Tooth
	}
	f := Finding{
		Code: d.code, Call: d.call, Action: actionOf(d), Restoration: d.rest, Surface: d.surface,
		Tooth: d.tooth, Place: d.place, Scan: d.scan, Measured: d.value, Approach: d.appr.shown(), Missing: d.missing,
		region: d.region,
	}
	if f.Place == nil && d.value.Measured() {
		f.Place = d.value.Place
	}
	if f.Scan == "" && f.Place != nil {
		f.Scan = Role(f.Place.Scan)
	}
	if d.row.ID != "" {
		f.Source, f.HasLimit = d.row.Source, true
		f.Limit = from(d.level, d.row.Unit, d.value.Unit)
		if d.value.Measured() {
			x, _, _ := in(d.value, d.row.Unit) // the caller held it against this row
			f.severity = severity(x, d.level, d.row.Bad)
		}
	}
	f.step = stepOf(d, f.Action)
	j.c.write(&f, d)
	j.out = append(j.out, f)
}

// actionOf returns the action of a draft: what is proven acts as usual; what is
// too close to call is mended by the scanner where it can be, goes to the dentist
// for clearance and undercut, and is a note otherwise; what is advised is a note.
func actionOf(d draft) Action {
	usual, _ := d.code.Usual() // every code of this package is in the table
	switch {
	case d.call == Advised:
		return Note
	case d.action != "":
		return d.action
	case d.call == Proven:
		return usual
	case usual == ScanAgain || usual == OpenMargin:
		return usual
	case d.code == ClearanceLow || d.code == Undercut:
		return AskDentist
	default:
		return Note
	}
}

// compareFindings orders findings for reading.
func compareFindings(a, b Finding) int {
	for _, d := range []int{
		a.stepRank() - b.stepRank(),
		slices.Index(Actions(), a.Action) - slices.Index(Actions(), b.Action),
		weight(b.Call) - weight(a.Call),
		slices.Index(Codes(), a.Code) - slices.Index(Codes(), b.Code),
	} {
		if d != 0 {
			return d
		}
	}
	switch {
	case a.severity > b.severity:
		return -1
	case a.severity < b.severity:
		return 1
	default:
		return 0
	}
}

// stepRank puts findings that decide nothing last.
func (f Finding) stepRank() int {
	if f.step == 0 {
		return 9
	}
	return f.step
}
