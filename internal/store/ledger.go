package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Ledger is the database. It is safe for concurrent use.
type Ledger struct {
	db  *sql.DB
	now func() time.Time
}

// New returns the ledger in db, whose tables package sqlite or postgres has made. now
// is the clock.
func New(db *sql.DB, now func() time.Time) *Ledger { return &Ledger{db: db, now: now} }

// DB returns the database, for what keeps its own tables beside the ledger's.
func (l *Ledger) DB() *sql.DB { return l.db }

// Tx is a change in the making. Changes are made one after another: who holds a Tx
// is the only writer until Change returns.
type Tx struct {
	ctx  context.Context
	tx   *sql.Tx
	at   time.Time
	seq  int64
	hash string
}

// Change runs f in one transaction, which is durable when Change returns nil and has
// left no trace otherwise. f must write only through the Tx or its SQL.
func (l *Ledger) Change(ctx context.Context, f func(*Tx) error) (err error) {
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	defer func() {
		if rerr := tx.Rollback(); rerr != nil && !errors.Is(rerr, sql.ErrTxDone) {
			err = errors.Join(err, rerr)
		}
	}()
	t := &Tx{ctx: ctx, tx: tx, at: l.now().UTC().Truncate(time.Millisecond)}
	// WHY an update first: it takes the write lock on SQLite and the row's lock on
	// PostgreSQL, so that the chain has one end.
	err = tx.QueryRowContext(ctx, `UPDATE ledger_end SET seq = seq WHERE id = 1 RETURNING seq, hash`).Scan(&t.seq, &t.hash)
	if err != nil {
		return fmt.Errorf("store: end of the ledger: %w", err)
	}
	if err := f(t); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE ledger_end SET seq = $1, hash = $2 WHERE id = 1`, t.seq, t.hash); err != nil {
		return fmt.Errorf("store: end of the ledger: %w", err)
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}

// SQL returns the transaction, for a job queued together with its event.
func (t *Tx) SQL() *sql.Tx { return t.tx }

// Context returns the context of the change.
func (t *Tx) Context() context.Context { return t.ctx }

// Add appends an event.
func (t *Tx) Add(caseID, actor, kind string, body any) (Event, error) {
	data, err := json.Marshal(body)
	if err != nil {
		return Event{}, fmt.Errorf("store: event %s: %w", kind, err)
	}
	var n int64
	err = t.tx.QueryRowContext(t.ctx, `SELECT COALESCE(MAX(n), 0) FROM event WHERE case_id = $1`, caseID).Scan(&n)
	if err != nil {
		return Event{}, fmt.Errorf("store: %w", err)
	}
	e := Event{Seq: t.seq + 1, Case: caseID, N: n + 1, At: t.at, Actor: actor, Kind: kind, Body: data}
	e.Hash = e.chain(t.hash)
	_, err = t.tx.ExecContext(t.ctx, `INSERT INTO event (seq, case_id, n, at, actor, kind, body, hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		e.Seq, e.Case, e.N, e.At.UnixMilli(), e.Actor, e.Kind, string(e.Body), e.Hash)
	if err != nil {
		return Event{}, fmt.Errorf("store: event %s: %w", kind, err)
	}
	t.seq, t.hash = e.Seq, e.Hash
	return e, nil
}

// Events returns the events of a case in order, those of the change included.
func (t *Tx) Events(caseID string) ([]Event, error) {
	return events(t.ctx, t.tx, `WHERE case_id = $1 ORDER BY n`, caseID)
}

// Events returns the events of a case in order. A case without events has none.
func (l *Ledger) Events(ctx context.Context, caseID string) ([]Event, error) {
	return events(ctx, l.db, `WHERE case_id = $1 ORDER BY n`, caseID)
}

// After returns the events of a case that follow its n-th, in order.
func (l *Ledger) After(ctx context.Context, caseID string, n int64) ([]Event, error) {
	return events(ctx, l.db, `WHERE case_id = $1 AND n > $2 ORDER BY n`, caseID, n)
}

// End returns the place of the last event in the ledger, 0 where there is none.
func (l *Ledger) End(ctx context.Context) (seq int64, err error) {
	if err := l.db.QueryRowContext(ctx, `SELECT seq FROM ledger_end WHERE id = 1`).Scan(&seq); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return seq, nil
}

// Since returns at most limit events after a place in the ledger, in order.
func (l *Ledger) Since(ctx context.Context, seq int64, limit int) ([]Event, error) {
	return events(ctx, l.db, `WHERE seq > $1 ORDER BY seq LIMIT $2`, seq, limit)
}

// Since returns at most limit events after a place in the ledger, in order, those of the
// change included.
func (t *Tx) Since(seq int64, limit int) ([]Event, error) {
	return events(t.ctx, t.tx, `WHERE seq > $1 ORDER BY seq LIMIT $2`, seq, limit)
}

// OfKind returns the events of a kind in order. Cost: one pass over them.
func (l *Ledger) OfKind(ctx context.Context, kind string) ([]Event, error) {
	return events(ctx, l.db, `WHERE kind = $1 ORDER BY seq`, kind)
}

// Counts returns how many events of each kind there are. Cost: one pass over the ledger.
func (l *Ledger) Counts(ctx context.Context) (out map[string]int64, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT kind, COUNT(*) FROM event GROUP BY kind`)
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	out = map[string]int64{}
	for rows.Next() {
		var kind string
		var n int64
		if err := rows.Scan(&kind, &n); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		out[kind] = n
	}
	return out, rows.Err()
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func events(ctx context.Context, q querier, where string, args ...any) (out []Event, err error) {
	rows, err := q.QueryContext(ctx, `SELECT seq, case_id, n, at, actor, kind, body, hash FROM event `+where, args...)
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var (
			e    Event
			at   int64
			body string
		)
		if err := rows.Scan(&e.Seq, &e.Case, &e.N, &at, &e.Actor, &e.Kind, &body, &e.Hash); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		e.At, e.Body = time.UnixMilli(at).UTC(), json.RawMessage(body)
		out = append(out, e)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	return out, nil
}

// BrokenChainError says where the ledger is not what was written.
type BrokenChainError struct {
	Seq  int64
	What string
}

// Error returns one line.
func (e *BrokenChainError) Error() string {
	return fmt.Sprintf("the ledger was altered at event %d: %s", e.Seq, e.What)
}

// Verify walks the whole ledger and returns how many events it holds. The error is a
// [*BrokenChainError] where one was altered, removed or put in. Cost: one pass, 1000
// events at a time.
func (l *Ledger) Verify(ctx context.Context) (int64, error) {
	n, _, err := l.VerifyEnd(ctx)
	return n, err
}

// VerifyEnd does what [Ledger.Verify] does and also returns the hash of the last event,
// which names the whole ledger.
func (l *Ledger) VerifyEnd(ctx context.Context) (seq int64, hash string, err error) {
	hash = genesis
	for {
		batch, err := l.Since(ctx, seq, 1000)
		if err != nil {
			return seq, hash, err
		}
		for _, e := range batch {
			switch {
			case e.Seq != seq+1:
				return seq, hash, &BrokenChainError{Seq: seq + 1, What: "it is missing"}
			case e.chain(hash) != e.Hash:
				return seq, hash, &BrokenChainError{Seq: e.Seq, What: "its content does not give its hash"}
			}
			seq, hash = e.Seq, e.Hash
		}
		if len(batch) == 0 {
			break
		}
	}
	var end int64
	var endHash string
	if err := l.db.QueryRowContext(ctx, `SELECT seq, hash FROM ledger_end WHERE id = 1`).Scan(&end, &endHash); err != nil {
		return seq, hash, fmt.Errorf("store: %w", err)
	}
	if end > seq || end == seq && endHash != hash {
		return seq, hash, &BrokenChainError{Seq: seq + 1, What: "it is missing"}
	}
	return seq, hash, nil
}

// genesis is what the first event is chained to.
var genesis = strings.Repeat("0", 64)
