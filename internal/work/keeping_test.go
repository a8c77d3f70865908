package work_test

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/backup"
	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// aged opens a desk on a folder as of a time.
func aged(t *testing.T, dir string, now time.Time) (*work.Desk, *folder.Blobs) {
	t.Helper()
	ctx := context.Background()
	db, blobs := storeIn(t, dir)
	d, err := work.Open(ctx, work.Options{Ledger: store.New(db, func() time.Time { return now }), Blobs: blobs, Workers: 1, Alone: true})
	ok(t, err)
	ok(t, d.Start(ctx))
	t.Cleanup(func() {
		stop, cancel := context.WithTimeout(ctx, time.Second)
		defer cancel()
		_ = d.Stop(stop)
		_ = db.Close()
	})
	return d, blobs
}

func refusedFor(t *testing.T, err error, why string) {
	t.Helper()
	var p *work.Problem
	if !errors.As(err, &p) || !strings.Contains(err.Error(), why) {
		t.Errorf("%v, want %q", err, why)
	}
}

// TestFilesAreDeletedByTwo: only what is old, backed up and not held, only by a second
// person, and only what no other case names; the events stay and prove themselves, and the
// next back-up forgets the files and misses nothing.
func TestFilesAreDeletedByTwo(t *testing.T) {
	ctx := context.Background()
	dir, to := t.TempDir(), t.TempDir()
	then := time.Now().AddDate(-8, 0, 0)
	var old, other string
	t.Run("eight years ago", func(t *testing.T) {
		d, _ := aged(t, dir, then)
		for _, c := range []struct {
			id   *string
			name string
			own  []byte
		}{{&old, "P-1", solid("old")}, {&other, "P-2", solid("other")}} {
			var err error
			*c.id, err = d.NewCase(ctx, "asst", c.name, "")
			ok(t, err)
			ok(t, d.SetOrder(ctx, "asst", *c.id, name26))
			ok(t, d.AddScans(ctx, "asst", *c.id, []work.Incoming{{Name: "working.stl", Data: bytes.NewReader(c.own)}, {Name: "bite.stl", Data: bytes.NewReader(solid("shared"))}}))
			await(t, d, *c.id)
		}
	})
	d, blobs := aged(t, dir, time.Now())
	than := time.Now().AddDate(-7, 0, 0)
	cases, err := d.Old(ctx, than)
	ok(t, err)
	if len(cases) != 2 {
		t.Fatalf("%d cases are old, want 2", len(cases))
	}
	refusedFor(t, d.AskDeletion(ctx, "boss", old, than), "no whole back-up")
	make := func() backup.Done {
		t.Helper()
		key, err := keyOf(dir, false)
		ok(t, err)
		done, err := backup.Make(ctx, backup.Source{
			Ledger: backup.File(filepath.Join(dir, "selvage.db")), Blobs: folder.View(filepath.Join(dir, "blobs"), key), Key: key, Named: work.Named, Now: time.Now,
		}, to, false)
		ok(t, err)
		ok(t, work.NoteBackup(ctx, d.Ledger(), work.Backup{To: to, Events: done.Events, Files: len(done.Blobs), Missing: len(done.Missing)}))
		return done
	}
	before := make()
	refusedFor(t, d.AskDeletion(ctx, "boss", old, then.AddDate(-1, 0, 0)), "has to be kept for longer")
	ok(t, d.Hold(ctx, "dr", old, "a dispute"))
	refusedFor(t, d.AskDeletion(ctx, "boss", old, than), "a dispute")
	ok(t, d.LetGo(ctx, "dr", old))
	refusedFor(t, d.Delete(ctx, "dr", old, than), "nobody asked")
	ok(t, d.AskDeletion(ctx, "boss", old, than))
	refusedFor(t, d.Delete(ctx, "boss", old, than), "yourself")
	ok(t, d.Delete(ctx, "dr", old, than))

	c := see(t, d, old)
	if k := c.Keeping.Deleted; k == nil || k.What != "boss" || k.By != "dr" || !c.Changed.Before(than) {
		t.Errorf("the case says %+v, changed %v", k, c.Changed)
	}
	for data, want := range map[string]bool{"old": false, "other": true, "shared": true} {
		if _, err := blobs.Get(ctx, store.HashOf(solid(data))); (err == nil) != want {
			t.Errorf("the scan %q: %v; there: want %v", data, err, want)
		}
	}
	k := see(t, d, other).Checks[0]
	if _, _, err := d.Result(ctx, k); err != nil {
		t.Errorf("the answer of the other case: %v", err)
	}
	refusedFor(t, d.AddScans(ctx, "asst", old, []work.Incoming{{Name: "a.stl", Data: strings.NewReader("x")}}), "were deleted")
	if n, err := d.Ledger().Verify(ctx); err != nil || n == 0 {
		t.Errorf("ledger of %d events: %v", n, err)
	}
	after := make()
	if len(after.Missing) > 0 || len(after.Blobs) >= len(before.Blobs) {
		t.Errorf("back-up of %d files, %d missing; %d before", len(after.Blobs), len(after.Missing), len(before.Blobs))
	}
	key, err := keyOf(dir, false)
	ok(t, err)
	if _, err := folder.View(filepath.Join(to, "blobs"), key).Get(ctx, store.HashOf(solid("old"))); !errors.Is(err, store.ErrNoBlob) {
		t.Errorf("the back-up still holds what was deleted: %v", err)
	}
	if left, err := d.Old(ctx, than); err != nil || len(left) != 1 || left[0].ID != other {
		t.Errorf("%d old cases are left (%v), want the other one", len(left), err)
	}
}

// TestDeletingGoesOnAfterAKill: the files that a program that was killed had not removed
// yet are removed when it starts again, and nothing that another case names since.
func TestDeletingGoesOnAfterAKill(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	var gone []store.Hash
	t.Run("killed", func(t *testing.T) {
		d, blobs := aged(t, dir, time.Now())
		id, err := d.NewCase(ctx, "asst", "P-1", "")
		ok(t, err)
		ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "a.stl", Data: strings.NewReader("one")}, {Name: "b.stl", Data: strings.NewReader("two")}}))
		gone = []store.Hash{store.HashOf([]byte("one")), store.HashOf([]byte("two"))}
		ok(t, d.Ledger().Change(ctx, func(tx *store.Tx) error { // as a kill leaves it
			_, err := tx.Add(id, "dr", "files-deleted", map[string]any{"asked": "boss", "files": gone})
			return err
		}))
		again, err := d.NewCase(ctx, "asst", "P-2", "")
		ok(t, err)
		ok(t, d.AddScans(ctx, "asst", again, []work.Incoming{{Name: "b.stl", Data: strings.NewReader("two")}}))
		for _, h := range gone {
			_, err := blobs.Get(ctx, h)
			ok(t, err)
		}
	})
	_, blobs := aged(t, dir, time.Now())
	if _, err := blobs.Get(ctx, gone[0]); !errors.Is(err, store.ErrNoBlob) {
		t.Errorf("what was to be deleted is there: %v", err)
	}
	if _, err := blobs.Get(ctx, gone[1]); err != nil {
		t.Errorf("what another case names is gone: %v", err)
	}
}
