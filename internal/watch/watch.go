package watch

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// The times of a watcher where its options do not say otherwise.
const (
	Every    = time.Second     // between two looks
	Quiet    = 3 * time.Second // without anything new, and what came is one delivery
	Patience = time.Minute     // a file that goes on growing holds up the others so long
	Retry    = 30 * time.Second
)

// Past is how long before the watching began a file may have been changed and count as
// new. Older ones were there before.
const Past = 12 * time.Hour

// Options of a watcher.
type Options struct {
	Dir   string
	Begun time.Time // when the folder was first watched
	Taken []Mark    // what was taken before
	// Take takes a delivery. Where it fails, the delivery is handed on again later.
	Take func(context.Context, Delivery) error
	// Say is told when the folder cannot be read (a [*GoneError]), when a delivery could
	// not be taken (its error), and when all is well again (nil): each once.
	Say func(error)

	Every, Quiet, Patience, Retry time.Duration // 0: the constants of these names
}

// Watcher watches one folder.
type Watcher struct {
	o     Options
	taken map[string]bool // by key of a mark: taken, no scan, or there before
	seen  map[string]sight
	first bool // no look was made yet
	gone  bool // the folder could not be read
	said  string
	again time.Time // not before: a delivery could not be taken
}

// GoneError says that the watched folder cannot be read. It is looked for at every look.
type GoneError struct {
	Dir string
	Err error
}

// Error returns one line.
func (e *GoneError) Error() string {
	return fmt.Sprintf("the watched folder %s cannot be read: %v", e.Dir, e.Err)
}

// Unwrap returns the cause.
func (e *GoneError) Unwrap() error { return e.Err }

// sight is what is known of a file that was not taken yet.
type sight struct {
	Mark
	stable bool      // two looks saw the same
	since  time.Time // when it was first seen as it is
	first  time.Time // when it was first seen at all
}

// New returns a watcher.
func New(o Options) *Watcher {
	set := func(d *time.Duration, v time.Duration) {
		if *d == 0 {
			*d = v
		}
	}
	set(&o.Every, Every)
	set(&o.Quiet, Quiet)
	set(&o.Patience, Patience)
	set(&o.Retry, Retry)
	w := &Watcher{o: o, taken: map[string]bool{}, seen: map[string]sight{}, first: true}
	for _, m := range o.Taken {
		w.taken[m.key()] = true
	}
	return w
}

// Run looks until ctx ends.
func (w *Watcher) Run(ctx context.Context) {
	tick := time.NewTicker(w.o.Every)
	defer tick.Stop()
	for {
		w.Look(ctx, time.Now())
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// Look looks once, at the time now, and hands on what has arrived.
func (w *Watcher) Look(ctx context.Context, now time.Time) {
	marks, err := look(w.o.Dir)
	if err != nil {
		w.gone = true // what was seen is kept: the folder may come back
		w.say(&GoneError{w.o.Dir, err})
		return
	}
	if w.gone {
		w.gone = false
		w.say(nil)
	}
	w.compare(marks, now)
	for _, folder := range w.ready(now) {
		if ctx.Err() != nil || now.Before(w.again) {
			return
		}
		err := w.deliver(ctx, folder)
		if ctx.Err() != nil {
			return
		}
		if err != nil {
			w.again = now.Add(w.o.Retry)
		}
		w.say(err)
	}
}

// say passes a state on, once.
func (w *Watcher) say(err error) {
	text := ""
	if err != nil {
		text = err.Error()
	}
	if text != w.said {
		w.said = text
		w.o.Say(err)
	}
}

// compare notes what is new against the look before.
func (w *Watcher) compare(marks []Mark, now time.Time) {
	seen := map[string]sight{}
	for _, m := range marks {
		if w.taken[m.key()] {
			continue
		}
		if w.first && m.Changed.Before(w.o.Begun.Add(-Past)) {
			w.taken[m.key()] = true
			continue
		}
		s, known := w.seen[m.Path]
		switch {
		case !known:
			s = sight{Mark: m, since: now, first: now}
		case s.key() != m.key():
			s = sight{Mark: m, since: now, first: s.first}
		default:
			s.stable = true
		}
		seen[m.Path] = s
	}
	w.seen, w.first = seen, false
}

// ready lists the folders in which something has arrived and nothing moves, in order.
func (w *Watcher) ready(now time.Time) []string {
	moves, stable := map[string]bool{}, map[string]bool{}
	for _, s := range w.seen {
		f := folderOf(s.Path)
		if s.stable {
			stable[f] = true
		}
		if now.Sub(s.since) < w.o.Quiet && now.Sub(s.first) < w.o.Patience {
			moves[f] = true
		}
	}
	var out []string
	for f := range stable {
		if !moves[f] {
			out = append(out, f)
		}
	}
	slices.Sort(out)
	return out
}

// deliver reads what has arrived in a folder and hands the scans on.
func (w *Watcher) deliver(ctx context.Context, folder string) error {
	d := Delivery{Folder: folder}
	for _, s := range w.seen {
		if !s.stable || folderOf(s.Path) != folder {
			continue
		}
		data, usable, err := read(filepath.Join(w.o.Dir, filepath.FromSlash(s.Path)), s.Mark)
		switch {
		case err != nil: // still open elsewhere, or gone: the next look tells
			delete(w.seen, s.Path)
		case !usable:
			w.done(s.Mark)
		default:
			d.Files = append(d.Files, File{Mark: s.Mark, Data: data})
		}
	}
	if len(d.Files) == 0 {
		return nil
	}
	slices.SortFunc(d.Files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	nameAll(folder, d.Files)
	if err := w.o.Take(ctx, d); err != nil {
		return err
	}
	for _, f := range d.Files {
		w.done(f.Mark)
	}
	return nil
}

// done forgets a file until it changes.
func (w *Watcher) done(m Mark) {
	w.taken[m.key()] = true
	delete(w.seen, m.Path)
}
