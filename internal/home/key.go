package home

import (
	"context"
	"errors"
	"fmt"

	"selvage/internal/store"
)

// kindKey says with which key the scans are stored; of no case.
const kindKey = "key-used" // keyUsed

type keyUsed struct {
	Key string `json:"key_id"`
}

// OtherKeyError says that a key is not the one with which the scans were stored.
type OtherKeyError struct{ Is, Want string } // ids; Want is empty where it is not known

// Error returns one line.
func (e *OtherKeyError) Error() string {
	if e.Want == "" {
		return "this is not the key with which the scans were stored (its id is " + e.Is + ")"
	}
	return fmt.Sprintf("this is not the key with which the scans were stored (its id is %s, theirs %s)", e.Is, e.Want)
}

// errLooked ends a look at the blobs.
var errLooked = errors.New("looked at one")

// proveKey proves that a key, by its id, is the one with which the scans of a ledger were
// stored. The first one is noted in the ledger.
func proveKey(ctx context.Context, l *store.Ledger, blobs store.Blobs, id string) error {
	events, err := l.OfKind(ctx, kindKey)
	if err != nil {
		return err
	}
	if n := len(events); n > 0 {
		var was keyUsed
		if err := events[n-1].Decode(&was); err != nil {
			return err
		}
		if was.Key != id {
			return &OtherKeyError{Is: id, Want: was.Key}
		}
		return nil
	}
	if err := opens(ctx, blobs, id); err != nil {
		return err
	}
	return l.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add("", "selvage", kindKey, keyUsed{Key: id})
		return err
	})
}

// opens tries a key on a blob, if there is any.
func opens(ctx context.Context, blobs store.Blobs, id string) error {
	err := blobs.Each(ctx, func(h store.Hash) error {
		_, err := blobs.Get(ctx, h)
		var bad *store.CorruptError
		if errors.As(err, &bad) && bad.Kind == store.OtherKey {
			return &OtherKeyError{Is: id}
		}
		return errLooked // one that is damaged is told when it is wanted
	})
	if errors.Is(err, errLooked) {
		return nil
	}
	return err
}
