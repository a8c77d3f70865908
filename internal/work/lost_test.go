package work_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/work"
)

// stuck is a keeper of blobs that never gives one back.
type stuck struct{ store.Blobs }

// Get waits for the end of ctx.
func (stuck) Get(ctx context.Context, _ store.Hash) ([]byte, error) {
	<-ctx.Done()
	return nil, ctx.Err()
}

// oneAsked opens a desk whose keeper is stuck and asks it for one check.
func oneAsked(t *testing.T, dir string, workers int) (*work.Desk, string) {
	t.Helper()
	ctx := context.Background()
	db, blobs := storeIn(t, dir)
	d, err := work.Open(ctx, work.Options{Ledger: store.New(db, time.Now), Blobs: stuck{blobs}, Workers: workers, Alone: true, Patience: 50 * time.Millisecond})
	ok(t, err)
	if workers > 0 {
		ok(t, d.Start(ctx))
	}
	t.Cleanup(func() {
		if workers > 0 {
			ok(t, d.Stop(ctx))
		}
		ok(t, db.Close())
	})
	id, err := d.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "working.stl", Data: strings.NewReader("no mesh at all")}}))
	return d, id
}

// TestCheckThatTakesTooLong: it ends with a word, and does not wait for ever.
func TestCheckThatTakesTooLong(t *testing.T) {
	d, id := oneAsked(t, t.TempDir(), 1)
	if k := await(t, d, id); k.State != work.Failed || !strings.Contains(k.What, "not done in 50ms") {
		t.Errorf("check %+v, want failed for its time", k)
	}
}

// TestCheckThatKillsTheProgram: after three starts it is left alone, so that the program
// can be used again.
func TestCheckThatKillsTheProgram(t *testing.T) {
	dir := t.TempDir()
	var id string
	t.Run("asked", func(t *testing.T) {
		var d *work.Desk
		d, id = oneAsked(t, dir, 0)
		_, err := d.Ledger().DB().Exec(`UPDATE river_job SET state = 'running', attempt = 3`) // as the third kill leaves it
		ok(t, err)
	})
	d := open(t, dir)
	if k := await(t, d, id); k.State != work.Failed || !strings.Contains(k.What, "died each time") {
		t.Errorf("check %+v, want failed for its kills", k)
	}
}
