// Package postgres opens the ledger in a PostgreSQL database, for a group of practices.
package postgres

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver
	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Open connects to a database by its URL and brings its tables up to date. Several
// programs may do so at once: a lock in the database lets one go first.
func Open(ctx context.Context, dsn string) (*sql.DB, error) {
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		return nil, fmt.Errorf("postgres: %w", err)
	}
	if err := migrate(ctx, db); err != nil {
		return nil, errors.Join(fmt.Errorf("postgres: %w", err), db.Close())
	}
	return db, nil
}

func migrate(ctx context.Context, db *sql.DB) (err error) {
	// WHY a lock of our own: two servers that start together would both make the tables.
	conn, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	if _, err := conn.ExecContext(ctx, `SELECT pg_advisory_lock($1)`, lockKey); err != nil {
		return err
	}
	defer func() {
		_, uerr := conn.ExecContext(context.WithoutCancel(ctx), `SELECT pg_advisory_unlock($1)`, lockKey)
		err = errors.Join(err, uerr)
	}()
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectPostgres, db, sub)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}

// lockKey is any number that nothing else in the database locks.
const lockKey int64 = 0x5e17a6e
