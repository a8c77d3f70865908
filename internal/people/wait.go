package people

import (
	"context"
	"fmt"
	"time"

	"selvage/internal/store"
)

// How waiting grows: some wrong answers are free, the next one waits firstWait, each
// further one twice as long, up to longestWait. Wrong answers are forgotten after
// forgetAfter without another.
const (
	freePerson  = 3
	freeAddress = 12 // several people mistype at one chair
	firstWait   = 5 * time.Second
	longestWait = 15 * time.Minute
	forgetAfter = 24 * time.Hour
)

// WaitError says how long to wait after wrong answers.
type WaitError struct{ Left time.Duration }

// Error returns one line.
func (e *WaitError) Error() string { return fmt.Sprintf("people: wait %v", e.Left) }

// attemptKey is one thing whose wrong answers are counted.
type attemptKey struct {
	key  string
	free int64
}

// attemptKeys returns what an attempt counts for. WHY the place is part of a person's
// key: whoever guesses from elsewhere must not lock the person out at the chair.
func attemptKeys(w Where, id string, known bool) []attemptKey {
	keys := []attemptKey{{key: string(w.Place) + " address " + w.Address, free: freeAddress}}
	if known {
		keys = append(keys, attemptKey{key: string(w.Place) + " person " + id, free: freePerson})
	}
	return keys
}

// wait returns how long the next answer waits after a number of wrong ones.
func wait(failures, free int64) time.Duration {
	if failures <= free {
		return 0
	}
	d := firstWait
	for i := free + 1; i < failures && d < longestWait; i++ {
		d *= 2
	}
	return min(d, longestWait)
}

// begin counts an attempt as wrong until forgive says otherwise. The error is a
// [*WaitError] where it is too early for one.
func (b *Book) begin(ctx context.Context, keys []attemptKey) error {
	now := b.now()
	return b.ledger.Change(ctx, func(tx *store.Tx) error {
		for _, k := range keys {
			var failures, at, until int64
			err := tx.SQL().QueryRowContext(ctx, `INSERT INTO attempt (key, failures, at, until) VALUES ($1, 0, $2, 0)
				ON CONFLICT (key) DO UPDATE SET key = excluded.key RETURNING failures, at, until`, k.key, now.UnixMilli()).Scan(&failures, &at, &until)
			if err != nil {
				return fmt.Errorf("people: %w", err)
			}
			if left := time.UnixMilli(until).Sub(now); left > 0 {
				return &WaitError{Left: min(left, longestWait)} // a clock that was set back keeps nobody out
			}
			if now.Sub(time.UnixMilli(at)) > forgetAfter {
				failures = 0
			}
			failures++
			_, err = tx.SQL().ExecContext(ctx, `UPDATE attempt SET failures = $2, at = $3, until = $4 WHERE key = $1`,
				k.key, failures, now.UnixMilli(), now.Add(wait(failures, k.free)).UnixMilli())
			if err != nil {
				return fmt.Errorf("people: %w", err)
			}
		}
		_, err := tx.SQL().ExecContext(ctx, `DELETE FROM attempt WHERE at < $1`, now.Add(-forgetAfter).UnixMilli())
		return err
	})
}

// forgive takes back what begin counted: the answer was right. A person's wrong answers
// are forgotten; an address has one less, so that one who knows their own number cannot
// wipe out what they guessed of others'.
func (b *Book) forgive(ctx context.Context, keys []attemptKey) error {
	return b.ledger.Change(ctx, func(tx *store.Tx) error {
		for i, k := range keys {
			text := `UPDATE attempt SET failures = failures - 1, until = 0 WHERE key = $1`
			if i > 0 {
				text = `DELETE FROM attempt WHERE key = $1`
			}
			if _, err := tx.SQL().ExecContext(ctx, text, k.key); err != nil {
				return fmt.Errorf("people: %w", err)
			}
		}
		return nil
	})
}
