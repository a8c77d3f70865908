package work

import (
	"errors"
	"strings"
	"time"

	"selvage/internal/job"
	"selvage/internal/news"
	"selvage/internal/store"
)

// ErrNoCase says that no case has an id.
var ErrNoCase = errors.New("there is no such case")

// Problem says why something cannot be done, in words for the person who asked. The words
// are English, and the keys by which a catalogue has them in other languages.
type Problem struct {
	What  string // holds %s where About goes
	Try   string
	About string // a name, a number, or what another package says
}

// Error returns one line.
func (p *Problem) Error() string {
	what, try := p.In(func(s string) string { return s })
	if try == "" {
		return what
	}
	return what + "; " + try
}

// In returns what cannot be done and what to try in the words of a catalogue.
func (p *Problem) In(say func(string) string) (what, try string) {
	what = say(p.What)
	if p.About != "" {
		what = strings.Replace(what, "%s", say(p.About), 1)
	}
	if p.Try != "" {
		try = say(p.Try)
	}
	return what, try
}

// Trouble is why nothing can be stored.
type Trouble string

// The troubles.
const (
	DiskFull Trouble = "full"
	ReadOnly Trouble = "read-only"
)

// troubleWait is how long a check waits for a disk to be mended before it is tried again.
const troubleWait = 5 * time.Second

// TroubleOf tells whether an error is of a disk that cannot be written.
func TroubleOf(err error) (Trouble, bool) {
	switch {
	case store.DiskFull(err):
		return DiskFull, true
	case store.ReadOnly(err):
		return ReadOnly, true
	}
	return "", false
}

// Trouble returns why checks in the background wait, if they do.
func (d *Desk) Trouble() (Trouble, bool) {
	if t := d.trouble.Load(); t != nil {
		return *t, true
	}
	return "", false
}

// troubled notes whether storing works. A check that could not be stored is made again
// later: it failed for no fault of its own.
func (d *Desk) troubled(err error) error {
	t, yes := TroubleOf(err)
	if !yes {
		if err == nil && d.trouble.Swap(nil) != nil {
			d.hub.Tell(news.Note{})
		}
		return err
	}
	if was := d.trouble.Swap(&t); was == nil || *was != t {
		d.hub.Tell(news.Note{})
	}
	return job.Later(troubleWait)
}
