package work

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"selvage/internal/news"
	"selvage/internal/store"
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
	return d.keeping(ctx, actor, id, kindDeleteAsk, reason{}, func(c Case) error { return d.deletable(ctx, c, than) })
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

// deletable says why the files of a case may not be deleted. WHY a back-up is asked for:
// what is deleted in error is there then.
func (d *Desk) deletable(ctx context.Context, c Case, than time.Time) error {
	b, made, err := d.LastBackup(ctx)
	switch {
	case err != nil:
		return err
	case c.Keeping.Held != nil:
		return &Problem{What: "this case is held: %s", About: c.Keeping.Held.What, Try: "release it first"}
	case !c.Changed.Before(than):
		return &Problem{What: "this case has to be kept for longer", Try: "wait until its time is over"}
	case !made || b.At.Before(c.Changed) || b.What.Missing > 0:
		return &Problem{What: "there is no whole back-up that holds this case", Try: "make one first"}
	}
	return nil
}

// Delete removes the files that only this case names: scans, photographs, results,
// pictures, parcels. Its events stay, and with them the proof of what was done by whom. It
// takes another person than the one who asked. A file that another case names stays.
func (d *Desk) Delete(ctx context.Context, actor, id string, than time.Time) error {
	mine, err := d.ownFiles(ctx, id)
	if err != nil {
		return err
	}
	asked := ""
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(id)
		if err != nil {
			return err
		}
		c, err := Replay(id, events)
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
		if err := d.deletable(ctx, c, than); err != nil {
			return err
		}
		asked = k.Asked.By
		if _, err := tx.Add(id, actor, kindDeleted, deleted{Asked: asked, Files: mine}); err != nil {
			return err
		}
		_, err = d.settle(tx, id)
		return err
	})
	if err != nil {
		return err
	}
	d.hub.Tell(news.Note{Case: id})
	return d.remove(ctx, id, mine)
}

// remove removes files and notes that they are gone.
func (d *Desk) remove(ctx context.Context, id string, files []store.Hash) error {
	var errs []error
	for _, h := range files {
		errs = append(errs, d.blobs.Remove(ctx, h))
	}
	if err := errors.Join(errs...); err != nil {
		return err
	}
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		if _, err := tx.Add(id, System, kindGone, struct{}{}); err != nil {
			return err
		}
		_, err := d.settle(tx, id)
		return err
	})
}

// ownFiles lists the files that only one case names, in order. Cost: every event, and
// every stored result, is read.
func (d *Desk) ownFiles(ctx context.Context, id string) ([]store.Hash, error) {
	mine, others := map[store.Hash]bool{}, map[store.Hash]bool{}
	for seq := int64(0); ; {
		batch, err := d.ledger.Since(ctx, seq, 1000)
		if err != nil {
			return nil, err
		}
		if len(batch) == 0 {
			break
		}
		for _, e := range batch {
			seq = e.Seq
			names, err := Named(e, func(h store.Hash) ([]byte, error) { return d.blobs.Get(ctx, h) })
			var corrupt *store.CorruptError
			if err != nil && !errors.Is(err, store.ErrNoBlob) && !errors.As(err, &corrupt) {
				return nil, err
			}
			for h, what := range names { // into sets: order does not matter
				if what == "" {
					continue // gone
				}
				if e.Case == id {
					mine[h] = true
				} else {
					others[h] = true
				}
			}
		}
	}
	var out []store.Hash
	for h := range mine { // sorted below
		if !others[h] {
			out = append(out, h)
		}
	}
	slices.Sort(out)
	return out, nil
}

// finishDeleting goes on where a program was killed while it deleted.
func (d *Desk) finishDeleting(ctx context.Context) error {
	events, err := d.ledger.OfKind(ctx, kindDeleted)
	if err != nil || len(events) == 0 {
		return err
	}
	gone, err := d.ledger.OfKind(ctx, kindGone)
	if err != nil {
		return err
	}
	for _, e := range events {
		if slices.ContainsFunc(gone, func(g store.Event) bool { return g.Case == e.Case }) {
			continue
		}
		var v deleted
		if err := e.Decode(&v); err != nil {
			return err
		}
		// WHY looked up anew: another case may name one of them since.
		left, err := d.ownFiles(ctx, e.Case)
		if err != nil {
			return err
		}
		left = slices.DeleteFunc(v.Files, func(h store.Hash) bool { return !slices.Contains(left, h) })
		if err := d.remove(ctx, e.Case, left); err != nil {
			return err
		}
	}
	return nil
}
