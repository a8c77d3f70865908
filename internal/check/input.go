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

	"selvage/finding"
	"selvage/internal/casefile"
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
