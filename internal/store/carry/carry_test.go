package carry_test

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/carry"
	"selvage/internal/store/postgres"
	"selvage/internal/store/sqlite"
	"selvage/internal/storetest"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// TestThereAndBack carries a ledger from PostgreSQL into a file and into PostgreSQL again.
func TestThereAndBack(t *testing.T) {
	ctx := context.Background()
	url := storetest.Postgres(t)
	a, err := postgres.Open(ctx, url)
	must(t, err)
	defer a.Close()
	_, err = a.ExecContext(ctx, `CREATE DATABASE another`)
	must(t, err)
	l := store.New(a, time.Now)
	for _, id := range []string{"a", "b", "a"} {
		must(t, l.Change(ctx, func(tx *store.Tx) error {
			if _, err := tx.Add(id, "somebody", "thing", map[string]string{"text": "späte \u0000 <&>"}); err != nil {
				return err
			}
			if err := tx.KeepOnce("key "+time.Now().String(), "answer"); err != nil {
				return err
			}
			return tx.SetNow(store.Now{Case: id, N: 1, At: 5, State: []byte(`{}`)})
		}))
	}
	_, err = a.ExecContext(ctx, `INSERT INTO credential (person, kind, hash, set_by, at) VALUES ('p', 'number', 'h', 'p', 1)`)
	must(t, err)
	file := filepath.Join(t.TempDir(), "copy.db")
	must(t, carry.Postgres{DB: a}.Copy(ctx, file))
	left, err := filepath.Glob(file + "*")
	if err != nil || len(left) != 1 {
		t.Errorf("the copy is not one file: %v, %v", left, err)
	}
	half, err := sqlite.View(file)
	must(t, err)
	defer half.Close()
	b, err := postgres.Open(ctx, strings.Replace(url, "/postgres?", "/another?", 1))
	must(t, err)
	defer b.Close()
	must(t, carry.Copy(ctx, half, b, nil))
	for name, db := range map[string]*sql.DB{"the file": half, "the other database": b} {
		m := store.New(db, time.Now)
		if n, err := m.Verify(ctx); err != nil || n != 3 {
			t.Errorf("%s: %d events, %v", name, n, err)
		}
		if rows, err := m.Recent(ctx, 10); err != nil || len(rows) != 2 {
			t.Errorf("%s: %v, %v", name, rows, err)
		}
		var hash string
		if err := db.QueryRowContext(ctx, `SELECT hash FROM credential WHERE person = 'p'`).Scan(&hash); err != nil || hash != "h" {
			t.Errorf("%s: the credential is %q, %v", name, hash, err)
		}
		var keys int
		if err := db.QueryRowContext(ctx, `SELECT COUNT(*) FROM once`).Scan(&keys); err != nil || keys != 3 {
			t.Errorf("%s: %d keys, %v", name, keys, err)
		}
	}
	if err := carry.Copy(ctx, half, b, nil); !errors.Is(err, carry.ErrNotEmpty) {
		t.Errorf("a second time: %v", err)
	}
	must(t, store.New(b, time.Now).Change(ctx, func(tx *store.Tx) error { // it goes on
		_, err := tx.Add("a", "somebody", "thing", struct{}{})
		return err
	}))
}
