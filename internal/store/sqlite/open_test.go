package sqlite_test

import (
	"context"
	"path/filepath"
	"testing"

	"selvage/internal/store/sqlite"
	"selvage/internal/storetest"
)

func TestLedger(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a name with ?, # and %20", "selvage.db")
	if _, err := sqlite.Open(context.Background(), path); err == nil {
		t.Error("a database in a folder that is not there was opened")
	}
	path = filepath.Join(t.TempDir(), "a name with # and %20.db")
	for range 2 { // the second time the tables are there
		db, err := sqlite.Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
	db, err := sqlite.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	storetest.Ledger(t, db)
}
