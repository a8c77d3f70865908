package work

import (
	"context"
	"errors"

	"selvage/internal/watch"
)

// WatchState says how it stands with the watched folder.
type WatchState struct {
	Dir     string
	Gone    bool   // it cannot be read
	Trouble string // why nothing can be taken from it; empty: all is well
}

// Watching returns how it stands with the watched folder, and whether there is one.
func (d *Desk) Watching() (WatchState, bool) {
	if s := d.watch.Load(); s != nil {
		return *s, true
	}
	return WatchState{}, false
}

// Watch takes what arrives in a folder until ctx ends. say is told, once each, why nothing
// can be taken from it, and with an empty text that it can be again.
func (d *Desk) Watch(ctx context.Context, dir string, say func(string)) error {
	begun, taken, err := d.Watched(ctx, dir)
	if err != nil {
		return err
	}
	d.watch.Store(&WatchState{Dir: dir})
	watch.New(watch.Options{
		Dir: dir, Begun: begun, Taken: taken,
		Take: func(ctx context.Context, in watch.Delivery) error { return d.Deliver(ctx, dir, in) },
		Say: func(err error) {
			s := WatchState{Dir: dir}
			if err != nil {
				var gone *watch.GoneError
				s.Gone, s.Trouble = errors.As(err, &gone), err.Error()
			}
			d.watch.Store(&s)
			d.hub.tell(Note{})
			say(s.Trouble)
		},
	}).Run(ctx)
	return nil
}
