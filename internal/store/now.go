package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// Now is where a case stands: a row computed from its events and written in the same
// transaction, so that a list of cases need not replay them all.
type Now struct {
	Case  string
	N     int64           // the last event that it was computed from
	At    int64           // of that event, milliseconds since 1970
	Find  string          // folded text that the case is found by
	State json.RawMessage // computed by package work
}

// SetNow writes where a case stands.
func (t *Tx) SetNow(v Now) error {
	_, err := t.tx.ExecContext(t.ctx, `INSERT INTO case_now (case_id, n, at, find, state) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (case_id) DO UPDATE SET n = excluded.n, at = excluded.at, find = excluded.find, state = excluded.state`,
		v.Case, v.N, v.At, v.Find, string(v.State))
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}

// Recent returns at most limit cases, the one that changed last first.
func (l *Ledger) Recent(ctx context.Context, limit int) (out []Now, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT case_id, n, at, find, state FROM case_now ORDER BY at DESC, case_id LIMIT $1`, limit)
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var v Now
		var state string
		if err := rows.Scan(&v.Case, &v.N, &v.At, &v.Find, &state); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		v.State = json.RawMessage(state)
		out = append(out, v)
	}
	return out, rows.Err()
}

// Older counts the cases that last changed before a time.
func (l *Ledger) Older(ctx context.Context, than time.Time) (n int, err error) {
	if err := l.db.QueryRowContext(ctx, `SELECT COUNT(*) FROM case_now WHERE at < $1`, than.UnixMilli()).Scan(&n); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return n, nil
}

// Once returns the answer that was kept under a key, and whether there is one: a
// request that is sent twice is done once.
func (t *Tx) Once(key string) (answer string, found bool, err error) {
	err = t.tx.QueryRowContext(t.ctx, `SELECT answer FROM once WHERE key = $1`, key).Scan(&answer)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return "", false, nil
	case err != nil:
		return "", false, fmt.Errorf("store: %w", err)
	}
	return answer, true, nil
}

// KeepOnce keeps the answer under a key.
func (t *Tx) KeepOnce(key, answer string) error {
	_, err := t.tx.ExecContext(t.ctx, `INSERT INTO once (key, at, answer) VALUES ($1, $2, $3)`, key, t.at.UnixMilli(), answer)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}
