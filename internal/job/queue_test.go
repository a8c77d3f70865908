package job_test

import (
	"context"
	"database/sql"
	"errors"
	"log/slog"
	"sync"
	"testing"

	"selvage/internal/job"
	"selvage/internal/store/postgres"
	"selvage/internal/storetest"
)

// TestServersStartTogether lets servers start at once on an empty database: none may fail
// because another made the same tables.
func TestServersStartTogether(t *testing.T) {
	dsn, ctx := storetest.Postgres(t), context.Background()
	const servers = 6
	var all sync.WaitGroup
	errs := make([]error, servers)
	begin := make(chan struct{})
	for i := range servers {
		all.Go(func() {
			<-begin
			var db *sql.DB
			if db, errs[i] = postgres.Open(ctx, dsn); errs[i] != nil {
				return
			}
			_, err := job.Open(ctx, db, job.Options{Dialect: job.Postgres, Log: slog.New(slog.DiscardHandler)})
			errs[i] = errors.Join(err, db.Close())
		})
	}
	close(begin)
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}
