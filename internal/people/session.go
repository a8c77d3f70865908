package people

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Sessions keeps the page's sessions in the ledger's database, so that they survive a
// restart. It stores what it is given under the hash of a token that only a browser has.
type Sessions struct {
	db  *sql.DB
	now func() time.Time
}

// Sessions returns the store of the page's sessions.
func (b *Book) Sessions() *Sessions { return &Sessions{db: b.ledger.DB(), now: b.now} }

// FindCtx returns what is stored under a token. What expired is not found.
func (s *Sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT data FROM session WHERE token = $1 AND expiry > $2`, token, s.now().UnixMilli()).Scan(&data)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, false, nil
	case err != nil:
		return nil, false, fmt.Errorf("people: %w", err)
	}
	return data, true, nil
}

// CommitCtx stores data under a token, and removes what expired.
func (s *Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	_, err := s.db.ExecContext(ctx, `INSERT INTO session (token, data, expiry) VALUES ($1, $2, $3)
		ON CONFLICT (token) DO UPDATE SET data = excluded.data, expiry = excluded.expiry`, token, data, expiry.UnixMilli())
	if err == nil {
		_, err = s.db.ExecContext(ctx, `DELETE FROM session WHERE expiry <= $1`, s.now().UnixMilli())
	}
	if err != nil {
		return fmt.Errorf("people: %w", err)
	}
	return nil
}

// DeleteCtx removes what is stored under a token.
func (s *Sessions) DeleteCtx(ctx context.Context, token string) error {
	if _, err := s.db.ExecContext(ctx, `DELETE FROM session WHERE token = $1`, token); err != nil {
		return fmt.Errorf("people: %w", err)
	}
	return nil
}

// Find is FindCtx without a context.
func (s *Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (s *Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (s *Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
