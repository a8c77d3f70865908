package home

import "strings"

// The names in the data folder.
const (
	DatabaseName = "selvage.db"
	BlobsName    = "blobs"
)

// Problem says why a place cannot be used, in words for the person who started the
// program. It names no secret.
type Problem struct {
	File string // at fault; empty where none is
	What string
	Try  string
	Err  error // the cause; not in the text
}

// Error returns one line.
func (p *Problem) Error() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File + ": ")
	}
	b.WriteString(p.What)
	if p.Try != "" {
		b.WriteString("; try: " + p.Try)
	}
	return b.String()
}

// Unwrap returns the cause.
func (p *Problem) Unwrap() error { return p.Err }
