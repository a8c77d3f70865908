package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
)

// Copy writes a copy of the database in a file to another file, which must not be there:
// one moment of it, whole, while another program goes on writing. It neither makes nor
// alters the database. The copy is not flushed.
func Copy(ctx context.Context, from, to string) (err error) {
	db, err := View(from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if _, err := db.ExecContext(ctx, `VACUUM INTO $1`, to); err != nil {
		return fmt.Errorf("%s: %w", from, err)
	}
	return nil
}

// View opens the database in a file to be read alone: nothing is made or brought up to
// date.
func View(path string) (*sql.DB, error) {
	q := url.Values{"mode": {"ro"}, "_pragma": {"busy_timeout(10000)"}}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}).String())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return db, nil
}
