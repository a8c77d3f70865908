package cli

import (
	"errors"
	"fmt"
	"strings"

	"selvage/internal/home"
)

// The exit codes of the contract.
const (
	exitClear      = 0
	exitFailed     = 1 // the program failed
	exitInput      = 2 // the input could not be used at all
	exitScanAgain  = 10
	exitAskDentist = 11
	exitNotChecked = 12
)

// verdictExit ends a command that did its work and whose verdict is not clear.
type verdictExit int

// Error says what the code means; it is never printed.
func (v verdictExit) Error() string { return fmt.Sprintf("verdict, exit code %d", int(v)) }

// inputError says that the input could not be used: which file, what is wrong
// with it, what to try. It becomes one line on standard error and exit code 2.
type inputError struct {
	File string // empty where no one file is at fault
	What string
	Try  string // empty where nothing useful can be said
	Err  error  // the cause, for errors.Is; not printed
}

// Error returns the line as a person reads it.
func (e *inputError) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File + ": ")
	}
	b.WriteString(strings.TrimRight(e.What, ".\n "))
	if e.Try != "" {
		b.WriteString("; try: " + e.Try)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *inputError) Unwrap() error { return e.Err }

// describe turns an error into one line and an exit code.
func describe(err error) (line string, code int) {
	code = exitFailed
	var in *inputError
	var place *home.Problem
	switch {
	case errors.As(err, &in):
		err, code = in, exitInput
	case errors.As(err, &place):
		err, code = place, exitInput
	}
	return oneLine(err.Error()), code
}

// oneLine joins the lines of a text and removes what would move the cursor: a
// file name may hold anything.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}
