// Package check takes one case in and gives one report out: it decodes the scans,
// settles units, roles and orientation, runs every analysis in the order in which
// an answer is worth most, and hands the values to package finding.
//
// It touches no file, clock or network. The same input gives the same report,
// whatever the number of cores. What cannot be measured is in the report with the
// reason; an input that cannot be used at all is an [InputError].
package check

import (
	"fmt"
	"slices"
	"sync"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
)

// File is one scan as it was found: its bytes and what is known of it.
type File struct {
	Name  string
	Role  finding.Role // empty: to be told from the shape
	Tooth string       // as the case writes it; empty unless the file shows one tooth
	Data  []byte
}

// Input is one case.
type Input struct {
	Case    casefile.Case
	Files   []File
	Stage   finding.Stage // zero: final
	Units   string        // unit of every file; empty: told from the size
	Limits  []byte        // a practice's own table; nil: the shipped one
	Assumed []string      // what the caller assumed, such as a role from a file's name
	Parts   func(Part)    // told the parts of the answer as they become known; nil: nobody
}

// InputError says that the input could not be used at all: which file, what is
// wrong, what to try.
type InputError struct {
	File, What, Try string
	Err             error
}

// Error returns one line.
func (e *InputError) Error() string {
	s := e.What
	if e.File != "" {
		s = e.File + ": " + s
	}
	if e.Try != "" {
		s += "; " + e.Try
	}
	return s
}

// Unwrap returns the cause.
func (e *InputError) Unwrap() error { return e.Err }

// The phases of a check, in order, as progress reports them.
const (
	PhaseRead   = "reading"
	PhaseOrient = "finding the teeth"
	PhaseMargin = "tracing the margin"
	PhaseBite   = "checking the bite"
	PhaseRoom   = "measuring room, looking for gaps"
	PhaseJudge  = "judging"
)

// Phases lists the phases in order.
func Phases() []string {
	return []string{PhaseRead, PhaseOrient, PhaseMargin, PhaseBite, PhaseRoom, PhaseJudge}
}

// Progress is told which phase begins. It may be nil.
type Progress func(phase string, done, total int)

func (p Progress) enter(phase string) {
	if p == nil {
		return
	}
	for i, name := range Phases() {
		if name == phase {
			p(phase, i, len(Phases()))
			return
		}
	}
	panic(fmt.Sprintf("check: no phase %q", phase))
}

// The parts of an answer, in the order in which they become known.
const (
	PartFiles  = "files"  // whether the files can be used, and what they show
	PartMargin = "margin" // the line and the finish line
	PartBite   = "bite"
	PartGaps   = "gaps" // what no scan shows
	PartRoom   = "room" // room, reduction, form, neighbours
)

// Parts lists the parts in that order.
func Parts() []string { return []string{PartFiles, PartMargin, PartBite, PartGaps, PartRoom} }

// Part is what is known when a part of a check is done, long before its verdict. What
// a part finds may be withdrawn: a finding that rests on one of a later part is not
// raised in the end.
type Part struct {
	Name   string
	Facts  finding.Facts // so far; how to hold the scanner is left out
	Limits limit.Table
}

// codesOf are the findings that each part can tell; notes about the prescription belong
// to none, since they wait for nobody.
var codesOf = map[string][]finding.Code{
	PartFiles: {
		finding.FileUnreadable, finding.ScanMirrored, finding.WrongArch, finding.ToothNotFound, finding.ToothDiffers,
		finding.ScanOutdated, finding.ScanMissing, finding.UnitsUnlikely, finding.FileTypeDiffers, finding.SurfaceNoisy,
	},
	PartMargin: {
		finding.MarginNotCaptured, finding.MarginUnclear, finding.MarginTwoLines, finding.FinishLineNarrow,
		finding.FinishLineDiffers, finding.SamplingCoarse, finding.MarginRough, finding.RootNotSeen, finding.SulcusNarrow,
		finding.ContrastColour,
	},
	PartBite: {
		finding.BiteDiffers, finding.BitePenetrates, finding.BiteOpen, finding.BiteUnsupported, finding.OtherMouth,
	},
	PartGaps: {
		finding.ArchTooShort, finding.SurfaceMissing, finding.ContactAreaMissing, finding.SurfaceDoubled, finding.SurfaceInvented,
		finding.Fragments,
	},
	PartRoom: {
		finding.ClearanceLow, finding.ReductionLow, finding.ClearanceInMovement, finding.Undercut, finding.PathBlocked,
		finding.ResistanceLow, finding.ConvergenceHigh, finding.ConvergenceLow, finding.WallsShort, finding.SharpEdge,
		finding.NeighbourContour, finding.NeighbourDamaged, finding.GapNarrow,
	},
}

// Findings judges a part in the words of a catalogue, worst first.
func (p Part) Findings(c finding.Catalogue) []finding.Finding {
	var out []finding.Finding
	for _, f := range finding.JudgeIn(p.Facts, p.Limits, c).Findings {
		if slices.Contains(codesOf[p.Name], f.Code) {
			out = append(out, f)
		}
	}
	return out
}

// teller tells the parts of one check; nil tells nobody.
type teller struct {
	in    Input
	table limit.Table
	scans []*Scan
	rs    []*restoration
	c     *scanSet
}

// facts is what is known so far, without what takes long to work out.
func (t *teller) facts() finding.Facts {
	t.c.quick = true
	defer func() { t.c.quick = false }()
	return assemble(t.in, t.scans, t.rs, t.c)
}

// tell tells a part by what is known so far.
func (t *teller) tell(part string) {
	if t != nil {
		t.in.Parts(Part{Name: part, Facts: t.facts(), Limits: t.table})
	}
}

// margin returns what tells the margin once it is traced, while the bite is still measured:
// the other facts are those of now, since what is measured beside it is left alone.
func (t *teller) margin() func() {
	if t == nil {
		return func() {}
	}
	f := t.facts()
	return func() {
		t.c.quick = true
		defer func() { t.c.quick = false }()
		for i, r := range t.rs {
			f.Restorations[i].Margin, f.Restorations[i].FinishLine = r.marginFacts(t.c), r.finishFacts()
			f.Restorations[i].ConvergenceMean = r.wall.Mean
		}
		t.in.Parts(Part{Name: PartMargin, Facts: f, Limits: t.table})
	}
}

// untilGone lets parts be told until shut is called: never after a check has returned.
func untilGone(tell func(Part)) (told func(Part), shut func()) {
	if tell == nil {
		return nil, func() {}
	}
	var mu sync.Mutex
	gone := false
	told = func(p Part) {
		mu.Lock()
		defer mu.Unlock()
		if !gone {
			tell(p)
		}
	}
	return told, func() {
		mu.Lock()
		defer mu.Unlock()
		gone = true
	}
}
