// Package naming tells which cases name a stored file: one that two cases hold is kept once,
// and is removed when the last of them goes.
package naming

import (
	"context"
	"errors"

	"selvage/internal/store"
)

// Names lists the files that an event names; get reads one that names others in turn.
type Names func(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error)

// Since returns at most limit events after a place in the ledger, in order: of a ledger, or
// of a change.
type Since func(seq int64, limit int) ([]store.Event, error)

// Of lists the files that events name, those of results and of their pictures included. A
// result that is gone, or cannot be read, names nothing more.
func Of(ctx context.Context, blobs store.Blobs, names Names, events []store.Event) (map[store.Hash]bool, error) {
	out := map[store.Hash]bool{}
	for _, e := range events {
		named, err := names(e, func(h store.Hash) ([]byte, error) { return blobs.Get(ctx, h) })
		var corrupt *store.CorruptError
		if err != nil && !errors.Is(err, store.ErrNoBlob) && !errors.As(err, &corrupt) {
			return nil, err
		}
		for h, what := range named { // into a set: order does not matter
			if what != "" { // else it says that the file is gone
				out[h] = true
			}
		}
	}
	return out, nil
}

// Stored reports whether every file that events name is stored. WHY inside the change that
// adds them: files are removed inside one, too, and changes are made one after another, so
// that none is removed between the look and the end of the change.
func Stored(ctx context.Context, blobs store.Blobs, names Names, events []store.Event) (bool, error) {
	of, err := Of(ctx, blobs, names, events)
	if err != nil {
		return false, err
	}
	for h := range of { // in any order
		if yes, err := blobs.Has(ctx, h); err != nil || !yes {
			return false, err
		}
	}
	return true, nil
}

// Book knows which cases name some files.
type Book struct {
	blobs store.Blobs
	names Names
	ends  string
	of    map[store.Hash]map[string]bool
	ended map[string]bool // cases that name nothing any more
	seq   int64
}

// New opens a book on some files. An event of the kind ends says that what its case names is
// deleted, or about to be: from then on that case keeps no file.
func New(blobs store.Blobs, names Names, ends string, files []store.Hash) *Book {
	b := &Book{blobs: blobs, names: names, ends: ends, of: map[store.Hash]map[string]bool{}, ended: map[string]bool{}}
	for _, h := range files {
		b.of[h] = map[string]bool{}
	}
	return b
}

// Read takes in what follows in the ledger, after what was taken in before. Cost: every such
// event, and every stored result that one names, is read.
func (b *Book) Read(ctx context.Context, since Since) error {
	for {
		events, err := since(b.seq, 1000)
		if err != nil || len(events) == 0 {
			return err
		}
		for _, e := range events {
			if e.Kind == b.ends {
				b.ended[e.Case] = true
			}
			of, err := Of(ctx, b.blobs, b.names, []store.Event{e})
			if err != nil {
				return err
			}
			for h := range of { // into sets: order does not matter
				if by, asked := b.of[h]; asked {
					by[e.Case] = true
				}
			}
			b.seq = e.Seq
		}
	}
}

// Kept reports whether a case other than one holds a file.
func (b *Book) Kept(h store.Hash, id string) bool {
	for by := range b.of[h] { // in any order
		if by != id && !b.ended[by] {
			return true
		}
	}
	return false
}
