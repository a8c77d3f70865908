// Package sqlite opens the ledger in one file, for a practice of one or a few PCs.
package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver
)

//go:embed migrations/*.sql
var migrations embed.FS

// connections is how many statements may run at a time. Readers do not wait for the
// writer; writers wait for each other.
const connections = 4

// Open opens the database in a file, making it where there is none, and brings its
// tables up to date.
//
// Writes are in the file when a transaction returns (synchronous=FULL). A transaction
// takes the write lock when it begins: one that read first and then wrote could be
// refused.
func Open(ctx context.Context, path string) (*sql.DB, error) {
	db, err := Join(path)
	if err != nil {
		return nil, err
	}
	if err := migrate(ctx, db); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), db.Close())
	}
	return db, nil
}

// Join opens the database in a file as it is, beside a program that works on it.
func Join(path string) (*sql.DB, error) {
	q := url.Values{"_txlock": {"immediate"}}
	for _, pragma := range []string{"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)"} {
		q.Add("_pragma", pragma)
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}).String())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	db.SetMaxOpenConns(connections)
	return db, nil
}

func migrate(ctx context.Context, db *sql.DB) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, sub)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}
