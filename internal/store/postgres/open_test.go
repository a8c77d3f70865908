package postgres_test

import (
	"context"
	"sync"
	"testing"

	"selvage/internal/store/postgres"
	"selvage/internal/storetest"
)

func TestLedger(t *testing.T) {
	dsn := storetest.Postgres(t)
	var wg sync.WaitGroup
	for range 3 { // servers that start together
		wg.Go(func() {
			db, err := postgres.Open(context.Background(), dsn)
			if err != nil {
				t.Error(err)
				return
			}
			_ = db.Close()
		})
	}
	wg.Wait()
	db, err := postgres.Open(context.Background(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	storetest.Ledger(t, db)
}
