package backup

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
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

// The result codes of SQLite that stand for a disk.
const (
	sqliteReadOnly = 8
	sqliteFull     = 13
	sqliteCantOpen = 14
)

// writing explains why writing into a folder failed. Other errors are passed on.
func writing(dir string, err error) error {
	var p *Problem
	if err == nil || errors.As(err, &p) {
		return err
	}
	code := 0
	var lite interface{ Code() int }
	if errors.As(err, &lite) {
		code = lite.Code() & 0xff
	}
	switch {
	case code == sqliteFull || diskFull(err):
		return &Problem{Where: dir, What: "the disk is full", Try: "make room or take another disk, and begin again: what was copied is kept", Err: err}
	case code == sqliteReadOnly || code == sqliteCantOpen || errors.Is(err, fs.ErrPermission) || readOnly(err):
		return &Problem{Where: dir, What: "the folder cannot be written", Try: "look whether it is read-only, and whether it is yours", Err: err}
	}
	return fmt.Errorf("%s: %w", dir, err)
}
