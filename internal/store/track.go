package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
)

// Track is what a board needs of a case: computed by package work from its events, and
// written in the same transaction, like [Now].
type Track struct {
	Case  string
	Seq   int64 // place of the change in the ledger
	Facts json.RawMessage
}

// SetTrack writes what a board needs of a case, in a form.
func (t *Tx) SetTrack(caseID string, form int, facts json.RawMessage) error {
	_, err := t.tx.ExecContext(t.ctx, `INSERT INTO case_track (case_id, seq, form, facts) VALUES ($1, $2, $3, $4)
		ON CONFLICT (case_id) DO UPDATE SET seq = excluded.seq, form = excluded.form, facts = excluded.facts`,
		caseID, t.seq, form, string(facts))
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}

// Tracks returns what changed after a place in the ledger, in its order. WHY nothing is
// missed: changes are made one after another, so that what is written later has a later
// place.
func (l *Ledger) Tracks(ctx context.Context, after int64) (out []Track, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT case_id, seq, facts FROM case_track WHERE seq > $1 ORDER BY seq`, after)
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var v Track
		var facts string
		if err := rows.Scan(&v.Case, &v.Seq, &facts); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		v.Facts = json.RawMessage(facts)
		out = append(out, v)
	}
	return out, rows.Err()
}

// Untracked lists the cases whose facts are of another form, or were never written.
func (l *Ledger) Untracked(ctx context.Context, form int) (out []string, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT n.case_id FROM case_now n LEFT JOIN case_track t ON t.case_id = n.case_id
		WHERE t.form IS NULL OR t.form <> $1 ORDER BY n.case_id`, form)
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		out = append(out, id)
	}
	return out, rows.Err()
}

// LastOfKind returns the last events of a kind, at most limit, in order.
func (l *Ledger) LastOfKind(ctx context.Context, kind string, limit int) ([]Event, error) {
	return events(ctx, l.db, `WHERE seq IN (SELECT seq FROM event WHERE kind = $1 ORDER BY seq DESC LIMIT $2) ORDER BY seq`, kind, limit)
}
