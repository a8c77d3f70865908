package backup

import (
	"errors"
	"fmt"
	"strings"

	"selvage/internal/store"
)

// Problem says why a back-up cannot be made or used, in words for the person who asked.
type Problem struct {
	Where string // the folder or file at fault; empty where none is
	What  string
	Try   string
	Err   error // the cause; not in the text
}

// Error returns one line.
func (p *Problem) Error() string {
	var b strings.Builder
	if p.Where != "" {
		b.WriteString(p.Where + ": ")
	}
	b.WriteString(p.What)
	if p.Try != "" {
		b.WriteString("; " + p.Try)
	}
	return b.String()
}

// Unwrap returns the cause.
func (p *Problem) Unwrap() error { return p.Err }

// writing explains why writing into a folder failed. Other errors are passed on.
func writing(dir string, err error) error {
	var p *Problem
	if err == nil || errors.As(err, &p) {
		return err
	}
	switch {
	case store.DiskFull(err):
		return &Problem{Where: dir, What: "the disk is full", Try: "make room or take another disk, and begin again: what was copied is kept", Err: err}
	case store.ReadOnly(err):
		return &Problem{Where: dir, What: "the folder cannot be written", Try: "look whether it is read-only, and whether it is yours", Err: err}
	}
	return fmt.Errorf("%s: %w", dir, err)
}
