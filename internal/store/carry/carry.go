// Package carry copies a ledger, and what belongs to it, from one database to another:
// from PostgreSQL into a file for a back-up, and from the file of a back-up into
// PostgreSQL. Sessions, wrong answers that are being waited out and queued tasks stay
// behind.
package carry

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"selvage/internal/store/sqlite"
)

// ErrNotEmpty says that something happened already in the database to be copied to.
var ErrNotEmpty = errors.New("the database holds cases already, and nothing is written over")

// tables are what is copied: each with its columns, in an order in which it can be.
var tables = []struct {
	name    string
	columns []string
}{
	{"event", []string{"seq", "case_id", "n", "at", "actor", "kind", "body", "hash"}},
	{"case_now", []string{"case_id", "n", "at", "find", "state"}},
	{"once", []string{"key", "at", "answer"}},
	{"credential", []string{"person", "kind", "hash", "set_by", "at"}},
}

// Copy copies from one database, at one moment, to another that is empty, in one
// transaction each. Both have their tables.
func Copy(ctx context.Context, from, to *sql.DB, moment *sql.TxOptions) (err error) {
	in, err := from.BeginTx(ctx, moment)
	if err != nil {
		return fmt.Errorf("carry: %w", err)
	}
	defer func() { err = errors.Join(err, ended(in.Rollback())) }() // it only read
	out, err := to.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("carry: %w", err)
	}
	defer func() { err = errors.Join(err, ended(out.Rollback())) }()
	var seq int64
	if err := out.QueryRowContext(ctx, `UPDATE ledger_end SET seq = seq WHERE id = 1 RETURNING seq`).Scan(&seq); err != nil {
		return fmt.Errorf("carry: %w", err)
	}
	if seq != 0 {
		return ErrNotEmpty
	}
	for _, t := range tables {
		if err := copyTable(ctx, in, out, t.name, t.columns); err != nil {
			return fmt.Errorf("carry: %s: %w", t.name, err)
		}
	}
	var hash string
	if err := in.QueryRowContext(ctx, `SELECT seq, hash FROM ledger_end WHERE id = 1`).Scan(&seq, &hash); err != nil {
		return fmt.Errorf("carry: %w", err)
	}
	if _, err := out.ExecContext(ctx, `UPDATE ledger_end SET seq = $1, hash = $2 WHERE id = 1`, seq, hash); err != nil {
		return fmt.Errorf("carry: %w", err)
	}
	return out.Commit()
}

func ended(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}

func copyTable(ctx context.Context, in, out *sql.Tx, name string, columns []string) (err error) {
	marks := make([]string, len(columns))
	for i := range columns {
		marks[i] = fmt.Sprintf("$%d", i+1)
	}
	list := strings.Join(columns, ", ")
	put, err := out.PrepareContext(ctx, `INSERT INTO `+name+` (`+list+`) VALUES (`+strings.Join(marks, ", ")+`)`)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, put.Close()) }()
	rows, err := in.QueryContext(ctx, `SELECT `+list+` FROM `+name+` ORDER BY 1`)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	row, into := make([]any, len(columns)), make([]any, len(columns))
	for i := range row {
		into[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if _, err := put.ExecContext(ctx, row...); err != nil {
			return err
		}
	}
	return rows.Err()
}

// Postgres is a ledger in PostgreSQL that can be backed up.
type Postgres struct{ DB *sql.DB }

// Copy writes one moment of the ledger into a file of SQLite.
func (p Postgres) Copy(ctx context.Context, to string) (err error) {
	db, err := sqlite.Open(ctx, to)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := Copy(ctx, p.DB, db, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, `PRAGMA journal_mode = DELETE`) // one file, without another beside it
	return err
}
