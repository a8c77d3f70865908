package work

import (
	"context"
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"selvage/internal/news"
	"selvage/internal/store"
	"selvage/internal/store/naming"
)

// The kinds of events of how long a case is kept. None of them counts as a change of the
// case: the time that it is kept goes on.
const (
	kindHeld      = "held"           // reason
	kindReleased  = "released"       // reason, empty
	kindDeleteAsk = "deletion-asked" // reason, empty
	kindDeleteNot = "deletion-taken-back"
	kindDeleted   = "files-deleted" // deleted: that they are to be, and by whom
	kindGone      = "files-gone"    // that they are
)

type reason struct {
	Reason string `json:"reason,omitempty"`
}

type deleted struct {
	Asked string       `json:"asked"` // by whom; the event itself is of a second person
	Files []store.Hash `json:"files"`
}

// Keeping is how it stands with a case's time.
type Keeping struct {
	Held    *Signed[string] // why it is kept for longer
	Asked   *Signed[string] // that its files be deleted
	Deleted *Signed[string] // by whom it was asked; a second person did it
}

// applyKeeping adds an event of keeping.
func (c *Case) applyKeeping(e store.Event) (known bool, err error) {
	k := &c.Keeping
	switch e.Kind {
	case kindHeld:
		err = read(e, func(v reason) { k.Held, k.Asked = &Signed[string]{v.Reason, e.Actor, e.At}, nil })
	case kindReleased:
		k.Held = nil
	case kindDeleteAsk:
		k.Asked = &Signed[string]{"", e.Actor, e.At}
	case kindDeleteNot:
		k.Asked = nil
	case kindDeleted:
		err = read(e, func(v deleted) { k.Deleted, k.Asked = &Signed[string]{v.Asked, e.Actor, e.At}, nil })
	case kindGone:
	default:
		return false, nil
	}
	c.N = e.N
	return true, err
}

// Old returns the cases that last changed before a time and hold files still, the oldest
// first.
func (d *Desk) Old(ctx context.Context, than time.Time) ([]Case, error) {
	all, err := d.Recent(ctx, math.MaxInt32)
	if err != nil {
		return nil, err
	}
	out := slices.DeleteFunc(all, func(c Case) bool { return !c.Changed.Before(than) || c.Keeping.Deleted != nil })
	slices.Reverse(out)
	return out, nil
}

// Hold keeps a case for longer, for a reason, whatever its time; LetGo lets its time
// count again.
func (d *Desk) Hold(ctx context.Context, actor, id, why string) error {
	if why = strings.TrimSpace(why); why == "" {
		return &Problem{What: "why it is kept is missing", Try: "say why"}
	}
	return d.keeping(ctx, actor, id, kindHeld, reason{why}, func(Case) error { return nil })
}

// LetGo ends a hold.
func (d *Desk) LetGo(ctx context.Context, actor, id string) error {
	return d.keeping(ctx, actor, id, kindReleased, reason{}, func(Case) error { return nil })
}

// AskDeletion asks that the files of a case be deleted, which takes a second person.
func (d *Desk) AskDeletion(ctx context.Context, actor, id string, than time.Time) error {
	last, err := d.wholeBackup(ctx)
	if err != nil {
		return err
	}
	return d.keeping(ctx, actor, id, kindDeleteAsk, reason{}, func(c Case) error { return c.deletable(than, last) })
}

// TakeBackDeletion takes back that it was asked.
func (d *Desk) TakeBackDeletion(ctx context.Context, actor, id string) error {
	return d.keeping(ctx, actor, id, kindDeleteNot, reason{}, func(Case) error { return nil })
}

func (d *Desk) keeping(ctx context.Context, actor, id, kind string, body any, may func(Case) error) error {
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(id)
		if err != nil {
			return err
		}
		if len(events) == 0 || id == "" {
			return ErrNoCase
		}
		c, err := Replay(id, events)
		if err != nil {
			return err
		}
		if c.Keeping.Deleted != nil {
			return errDeleted()
		}
		if err := may(c); err != nil {
			return err
		}
		if _, err := tx.Add(id, actor, kind, body); err != nil {
			return err
		}
		_, err = d.settle(tx, id)
		return err
	})
}

func errDeleted() error {
	return &Problem{What: "the files of this case were deleted", Try: "open a new case"}
}

// wholeBackup returns up to which place in the ledger the last back-up holds everything; 0:
// there is none, or files were missing from it. WHY never inside a change: it reads the
// ledger by a connection of its own, of which there are few.
func (d *Desk) wholeBackup(ctx context.Context) (seq int64, err error) {
	b, made, err := d.LastBackup(ctx)
	if err != nil || !made || b.What.Missing > 0 {
		return 0, err
	}
	return b.What.Events, nil
}

// deletable says why the files of a case may not be deleted. WHY a back-up is asked for:
// what is deleted in error is there until the next one is made, which forgets it.
func (c Case) deletable(than time.Time, whole int64) error {
	switch {
	case c.Keeping.Held != nil:
		return &Problem{What: "this case is held: %s", About: c.Keeping.Held.What, Try: "release it first"}
	case !c.Changed.Before(than):
		return &Problem{What: "this case has to be kept for longer", Try: "wait until its time is over"}
	case whole < c.Seq:
		return &Problem{What: "there is no whole back-up that holds this case", Try: "make one first"}
	}
	return nil
}

// Delete removes the files that only this case names: scans, photographs, results,
// pictures, parcels. Its events stay, and with them the proof of what was done by whom. It
// takes another person than the one who asked. A file that another case names stays.
func (d *Desk) Delete(ctx context.Context, actor, id string, than time.Time) error {
	whole, err := d.wholeBackup(ctx)
	if err != nil {
		return err
	}
	events, err := d.ledger.Events(ctx, id)
	if err != nil {
		return err
	}
	mine, err := naming.Of(ctx, d.blobs, Named, events)
	if err != nil {
		return err
	}
	// WHY read before the change, and only what is new within it: nobody else can write
	// while it lasts.
	book := d.book(slices.Sorted(maps.Keys(mine)))
	if err := book.Read(ctx, d.since(ctx)); err != nil {
		return err
	}
	var files []store.Hash
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		now, err := tx.Events(id)
		if err != nil {
			return err
		}
		c, err := Replay(id, now)
		if err != nil {
			return err
		}
		k := c.Keeping
		switch {
		case k.Deleted != nil:
			return errDeleted()
		case k.Asked == nil:
			return &Problem{What: "nobody asked that this be deleted", Try: "one person asks, another deletes"}
		case k.Asked.By == actor:
			return &Problem{What: "you asked for it yourself", Try: "a second person has to delete it"}
		}
		if err := c.deletable(than, whole); err != nil {
			return err
		}
		if more, err := naming.Of(ctx, d.blobs, Named, now[len(events):]); err != nil {
			return err
		} else if len(more) > 0 {
			return &Problem{What: "the case was changed meanwhile", Try: "look at it again"}
		}
		if err := book.Read(ctx, tx.Since); err != nil {
			return err
		}
		files = slices.DeleteFunc(slices.Sorted(maps.Keys(mine)), func(h store.Hash) bool { return book.Kept(h, id) })
		if _, err := tx.Add(id, actor, kindDeleted, deleted{Asked: k.Asked.By, Files: files}); err != nil {
			return err
		}
		_, err = d.settle(tx, id)
		return err
	})
	if err != nil {
		return err
	}
	d.hub.Tell(news.Note{Case: id})
	if err := d.remove(ctx, book, id, files); err != nil {
		return err
	}
	d.finishDeleting(ctx) // of others
	return nil
}

func (d *Desk) book(files []store.Hash) *naming.Book {
	return naming.New(d.blobs, Named, kindDeleted, files)
}

func (d *Desk) since(ctx context.Context) naming.Since {
	return func(seq int64, limit int) ([]store.Event, error) { return d.ledger.Since(ctx, seq, limit) }
}

// remove removes those files of a case that no other case names, and notes that they are
// gone. WHY inside the change: see [naming.Stored]. WHY looked up anew: another case may
// name one of them since it was written down.
func (d *Desk) remove(ctx context.Context, book *naming.Book, id string, files []store.Hash) error {
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(id)
		if err != nil || slices.ContainsFunc(events, func(e store.Event) bool { return e.Kind == kindGone }) {
			return err // somebody else was faster
		}
		if err := book.Read(ctx, tx.Since); err != nil {
			return err
		}
		var errs []error
		for _, h := range files {
			if !book.Kept(h, id) {
				errs = append(errs, d.blobs.Remove(ctx, h))
			}
		}
		if err := errors.Join(errs...); err != nil {
			return err
		}
		if _, err := tx.Add(id, System, kindGone, struct{}{}); err != nil {
			return err
		}
		_, err = d.settle(tx, id)
		return err
	})
}

// finishDeleting goes on where a program was killed, or a file could not be removed, while
// a case was deleted. What fails is logged, and tried again later.
func (d *Desk) finishDeleting(ctx context.Context) {
	if err := d.deletingLeft(ctx); err != nil && ctx.Err() == nil {
		quiet().Error("files of a deleted case could not be removed; it is tried again every hour", "error", err)
	}
}

func (d *Desk) deletingLeft(ctx context.Context) error {
	events, err := d.ledger.OfKind(ctx, kindDeleted)
	if err != nil || len(events) == 0 {
		return err
	}
	gone, err := d.ledger.OfKind(ctx, kindGone)
	if err != nil {
		return err
	}
	done := map[string]bool{}
	for _, e := range gone {
		done[e.Case] = true
	}
	left := map[string][]store.Hash{}
	var all []store.Hash
	for _, e := range events {
		if done[e.Case] {
			continue
		}
		if err := read(e, func(v deleted) { left[e.Case] = v.Files; all = append(all, v.Files...) }); err != nil {
			return err
		}
	}
	if len(left) == 0 {
		return nil
	}
	book := d.book(all)
	if err := book.Read(ctx, d.since(ctx)); err != nil {
		return err
	}
	var errs []error
	for _, id := range slices.Sorted(maps.Keys(left)) {
		errs = append(errs, d.remove(ctx, book, id, left[id]))
	}
	return errors.Join(errs...)
}

// deleteAgain is how often files are tried again that could not be removed.
const deleteAgain = time.Hour

func (d *Desk) goOnDeleting(ctx context.Context) {
	tick := time.NewTicker(deleteAgain)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			d.finishDeleting(ctx)
		}
	}
}
