package backup_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/store"
	"selvage/internal/store/backup"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/work"
)

func ok(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// house is an installation.
type house struct {
	dir  string
	key  *folder.Key
	desk *work.Desk
}

// open opens an installation, as the program does when it starts.
func open(t *testing.T, dir string, key *folder.Key) house {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	ok(t, err)
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	ok(t, err)
	d, err := work.Open(ctx, work.Options{Ledger: store.New(db, time.Now), Blobs: blobs, Workers: 1, Alone: true})
	ok(t, err)
	ok(t, d.Start(ctx))
	t.Cleanup(func() { ok(t, errors.Join(d.Stop(ctx), db.Close())) })
	return house{dir, key, d}
}

func newKey(t *testing.T) *folder.Key {
	t.Helper()
	key, err := folder.LoadKey(filepath.Join(t.TempDir(), "key"), true)
	ok(t, err)
	return key
}

func (h house) source() backup.Source {
	return backup.Source{
		Ledger: backup.File(filepath.Join(h.dir, "selvage.db")), Blobs: folder.View(filepath.Join(h.dir, "blobs"), h.key), Key: h.key, Named: work.Named, Now: time.Now,
	}
}

func (h house) target(dir string) backup.Target {
	return backup.Target{Dir: dir, Database: "selvage.db", Blobs: "blobs", Key: h.key, Named: work.Named}
}

// add opens a case with a file and returns the file's hash.
func (h house) add(t *testing.T, data string) store.Hash {
	t.Helper()
	ctx := context.Background()
	id, err := h.desk.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, h.desk.AddScans(ctx, "asst", id, []work.Incoming{{Name: "upper.stl", Data: strings.NewReader(data)}}))
	return store.HashOf([]byte(data))
}

// checked adds a case whose check is done, so that there is a result that names files.
func (h house) checked(t *testing.T) {
	t.Helper()
	ctx := context.Background()
	id, err := h.desk.NewCase(ctx, "asst", "P-2", "")
	ok(t, err)
	ok(t, h.desk.SetOrder(ctx, "asst", id, func(c *casefile.Case) error {
		c.Restorations = []casefile.Restoration{{Tooth: casefile.CodeOf(26), Kind: casefile.Crown}}
		return nil
	}))
	solid := "solid s\n"
	for _, f := range []string{"0 0 0 0 60 0 60 0 0", "0 0 0 60 0 0 0 0 60", "0 0 0 0 0 60 0 60 0", "60 0 0 0 60 0 0 0 60"} {
		var v [9]float64
		for i, w := range strings.Fields(f) {
			_, err := fmt.Sscan(w, &v[i])
			ok(t, err)
		}
		solid += fmt.Sprintf("facet normal 0 0 0\nouter loop\nvertex %g %g %g\nvertex %g %g %g\nvertex %g %g %g\nendloop\nendfacet\n", v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8])
	}
	ok(t, h.desk.AddScans(ctx, "asst", id, []work.Incoming{{Name: "upper.stl", Role: finding.RoleWorking, Data: strings.NewReader(solid + "endsolid s\n")}}))
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		c, err := h.desk.Case(ctx, id)
		ok(t, err)
		if k, current := c.Current(); current && k.State == work.Done && !k.Drawing {
			return
		} else if current && k.State != work.Waiting && !k.Drawing {
			t.Fatalf("check %+v", k)
		}
	}
	t.Fatal("the check did not end")
}

func (h house) path(dir string, b store.Hash) string {
	return filepath.Join(dir, "blobs", string(b[:2]), string(b))
}

// whole opens what was restored and reads all that its events name.
func whole(t *testing.T, dir string, key *folder.Key) (events []store.Event, files int) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	ok(t, err)
	defer db.Close()
	l := store.New(db, time.Now)
	n, err := l.Verify(ctx)
	ok(t, err)
	events, err = l.Since(ctx, 0, int(n)+1)
	ok(t, err)
	blobs := folder.View(filepath.Join(dir, "blobs"), key)
	get := func(h store.Hash) ([]byte, error) { return blobs.Get(ctx, h) }
	for _, e := range events {
		names, err := work.Named(e, get)
		ok(t, err)
		for h, what := range names {
			if _, err := get(h); err != nil {
				t.Errorf("%s: %v", what, err)
			}
			files++
		}
	}
	return events, files
}

// TestBackUpWhileInUse backs up while hands work, restores each back-up, and holds it
// against the events that the desk went on to have.
func TestBackUpWhileInUse(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	h.checked(t)
	to := filepath.Join(t.TempDir(), "backup")
	stop, stopped := make(chan bool), make(chan error)
	var added atomic.Int64
	go func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				stopped <- nil
				return
			default:
			}
			id, err := h.desk.NewCase(ctx, "asst", "busy", "")
			if err == nil {
				err = h.desk.AddScans(ctx, "asst", id, []work.Incoming{{Name: "a.stl", Data: strings.NewReader(strings.Repeat(id, 100))}})
			}
			if err != nil {
				stopped <- err
				return
			}
			added.Add(1)
		}
	}()
	for i := range 4 {
		was := added.Load()
		for end := time.Now().Add(time.Minute); added.Load() < was+2 && time.Now().Before(end); {
			time.Sleep(time.Millisecond) // one of them, at the least, is begun and ended after the copy before
		}
		d, err := backup.Make(ctx, h.source(), to, i == 2)
		ok(t, err)
		if d.Copied == 0 || d.Proved < d.Copied || len(d.Missing) > 0 {
			t.Errorf("back-up %d: %d copied, %d proved, missing %v", i, d.Copied, d.Proved, d.Missing)
		}
		dir := filepath.Join(t.TempDir(), "restored")
		r, err := backup.Restore(ctx, to, h.target(dir))
		ok(t, err)
		events, files := whole(t, dir, h.key)
		if r.Events != d.Events || int64(len(events)) != d.Events || files < len(events)/3 || len(r.Blobs) != len(d.Blobs) {
			t.Errorf("restored %d events of %d, %d files of %d", len(events), d.Events, len(r.Blobs), len(d.Blobs))
		}
		live, err := h.desk.Ledger().Since(ctx, 0, len(events))
		ok(t, err)
		if live[len(live)-1].Hash != events[len(events)-1].Hash {
			t.Error("what was restored is not what happened")
		}
	}
	close(stop)
	ok(t, <-stopped)
	_, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	d, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	if d.Copied != 0 || len(d.Blobs) == 0 {
		t.Errorf("with nothing new, %d of %d files were copied", d.Copied, len(d.Blobs))
	}
	entries, err := os.ReadDir(to)
	ok(t, err)
	if len(entries) != 3 {
		t.Errorf("the folder holds %v, want the cases, the files and the list", entries)
	}
}

// TestRestoredInstallationWorks: a restored folder is opened and worked on.
func TestRestoredInstallationWorks(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	h.add(t, "one")
	to, dir := t.TempDir(), filepath.Join(t.TempDir(), "new")
	_, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	_, err = backup.Restore(ctx, to, h.target(dir))
	ok(t, err)
	again := open(t, dir, h.key)
	again.checked(t)
	if n, err := again.desk.Ledger().Verify(ctx); err != nil || n < 5 {
		t.Errorf("%d events, %v", n, err)
	}
	if _, err := backup.Restore(ctx, to, h.target(dir)); !says(err, "holds something already") {
		t.Errorf("restored over an installation: %v", err)
	}
}

// says reports whether err is for a person and holds all words.
func says(err error, words ...string) bool {
	var p *backup.Problem
	if !errors.As(err, &p) || strings.Contains(err.Error(), "\n") {
		return false
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			return false
		}
	}
	return true
}

func TestDamagedSource(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	bad, gone, good := h.add(t, "bad"), h.add(t, "gone"), h.add(t, "good")
	to := t.TempDir()
	raw, err := os.ReadFile(h.path(h.dir, bad))
	ok(t, err)
	flip(t, h.path(h.dir, bad))
	ok(t, os.Rename(h.path(h.dir, gone), h.path(h.dir, gone)+"-away"))
	d, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	text := (&backup.DamagedError{Missing: d.Missing}).Error()
	if len(d.Missing) != 2 || len(d.Blobs) != 1 || d.Blobs[0].Hash != good || !strings.Contains(text, "upper.stl") || !strings.Contains(text, "damaged on the disk") || !strings.Contains(text, "it is gone") {
		t.Errorf("missing %s, kept %v", text, d.Blobs)
	}
	if _, err := os.Stat(h.path(to, bad)); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the damaged file was copied: %v", err)
	}
	if _, err := backup.Restore(ctx, to, h.target(filepath.Join(t.TempDir(), "new"))); !says(err, "2 of 3 files", "it was not backed up: it is damaged", "it was not backed up: it is gone") {
		t.Errorf("restored: %v", err)
	}
	ok(t, os.WriteFile(h.path(h.dir, bad), raw, 0o600))
	ok(t, os.Rename(h.path(h.dir, gone)+"-away", h.path(h.dir, gone)))
	d, err = backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	if len(d.Missing) != 0 || d.Copied != 2 {
		t.Errorf("after they were mended: missing %v, %d copied", d.Missing, d.Copied)
	}
	flip(t, h.path(h.dir, bad)) // a sound copy from before stays
	d, err = backup.Make(ctx, h.source(), to, true)
	ok(t, err)
	if len(d.Missing) != 0 || d.Proved != 3 {
		t.Errorf("missing %v, %d proved; want none and 3", d.Missing, d.Proved)
	}
	flip(t, h.path(to, good)) // a damaged copy is made again from a sound source
	d, err = backup.Make(ctx, h.source(), to, true)
	ok(t, err)
	if len(d.Missing) != 0 || d.Copied != 1 {
		t.Errorf("missing %v, %d copied; want the damaged copy made again", d.Missing, d.Copied)
	}
}

// flip changes one bit of a file.
func flip(t *testing.T, path string) {
	t.Helper()
	data, err := os.ReadFile(path)
	ok(t, err)
	data[len(data)-3] ^= 1
	ok(t, os.WriteFile(path, data, 0o600))
}

func TestDamagedBackUp(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	bad, good := h.add(t, "bad"), h.add(t, "good")
	made := t.TempDir()
	d, err := backup.Make(ctx, h.source(), made, false)
	ok(t, err)
	for _, c := range []struct {
		name  string
		harm  func(t *testing.T, to string)
		words []string
	}{
		{"a file", func(t *testing.T, to string) { flip(t, h.path(to, bad)) }, []string{"1 of 2 files", "upper.stl", string(bad[:12]), "damaged"}},
		{"a file that is gone", func(t *testing.T, to string) { ok(t, os.Remove(h.path(to, good))) }, []string{"1 of 2 files", string(good[:12]), "gone"}},
		{"the cases", func(t *testing.T, to string) { flip(t, filepath.Join(to, d.Database.File)) }, []string{d.Database.File, "damaged"}},
		{"the cases that are gone", func(t *testing.T, to string) { ok(t, os.Remove(filepath.Join(to, d.Database.File))) }, []string{d.Database.File}},
		{"the list", func(t *testing.T, to string) {
			ok(t, os.WriteFile(filepath.Join(to, "manifest.json"), []byte("{"), 0o600))
		}, []string{"manifest.json", "damaged"}},
		{"no list", func(t *testing.T, to string) { ok(t, os.Remove(filepath.Join(to, "manifest.json"))) }, []string{"holds no back-up"}},
		{"an altered event", func(t *testing.T, to string) { alter(t, to, d) }, []string{"altered at event 2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			to, dir := t.TempDir(), filepath.Join(t.TempDir(), "new")
			ok(t, os.CopyFS(to, os.DirFS(made)))
			c.harm(t, to)
			if _, err := backup.Restore(ctx, to, h.target(dir)); !says(err, c.words...) {
				t.Errorf("restored: %v; want a problem with %q", err, c.words)
			}
			if entries, err := os.ReadDir(dir); len(entries) != 0 {
				t.Errorf("it left %v, %v", entries, err)
			}
		})
	}
	t.Run("all but the damaged", func(t *testing.T) {
		to, dir := t.TempDir(), filepath.Join(t.TempDir(), "new")
		ok(t, os.CopyFS(to, os.DirFS(made)))
		flip(t, h.path(to, bad))
		target := h.target(dir)
		target.Damaged = true
		r, err := backup.Restore(ctx, to, target)
		ok(t, err)
		if len(r.Missing) != 1 || r.Missing[0].Hash != bad || len(r.Blobs) != 1 {
			t.Errorf("missing %v, files %v", r.Missing, r.Blobs)
		}
	})
	t.Run("another key", func(t *testing.T) {
		other := h
		other.key = newKey(t)
		if _, err := backup.Restore(ctx, made, other.target(filepath.Join(t.TempDir(), "new"))); !says(err, "another key", "--keys") {
			t.Errorf("restored: %v", err)
		}
		if _, err := backup.Make(ctx, other.source(), made, false); !says(err, "another key", "--keys") {
			t.Errorf("backed up: %v", err)
		}
	})
}

// alter changes an event in a back-up and makes the list agree with the file.
func alter(t *testing.T, to string, d backup.Done) {
	t.Helper()
	path := filepath.Join(to, d.Database.File)
	db, err := sqlite.Open(context.Background(), path)
	ok(t, err)
	for _, q := range []string{`DROP TRIGGER event_is_never_altered`, `UPDATE event SET actor = 'nobody' WHERE seq = 2`, `PRAGMA journal_mode = DELETE`} {
		_, err := db.Exec(q)
		ok(t, err)
	}
	ok(t, db.Close())
	data, err := os.ReadFile(path)
	ok(t, err)
	l := d.List
	l.Database.Size, l.Database.Sum = int64(len(data)), string(store.HashOf(data))
	out, err := json.Marshal(l)
	ok(t, err)
	ok(t, os.WriteFile(filepath.Join(to, "manifest.json"), out, 0o600))
}

func TestBackUpIsRefused(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	h.add(t, "one")
	full := t.TempDir()
	ok(t, os.WriteFile(filepath.Join(full, "letter.txt"), []byte("dear"), 0o600))
	if _, err := backup.Make(ctx, h.source(), full, false); !says(err, "no back-up", "an empty folder") {
		t.Errorf("backed up beside a letter: %v", err)
	}
	none := h.source()
	none.Ledger = backup.File(filepath.Join(t.TempDir(), "selvage.db"))
	if _, err := backup.Make(ctx, none, t.TempDir(), false); !says(err, "no cases") {
		t.Errorf("backed up nothing: %v", err)
	}
	if _, err := os.Stat(string(none.Ledger.(backup.File))); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a database was made: %v", err)
	}
}

// TestBackUpOfOtherCasesStays: a ledger that does not go on from the one in the folder, of
// another practice or of a state before, does not take its place.
func TestBackUpOfOtherCasesStays(t *testing.T) {
	ctx := context.Background()
	key, to := newKey(t), t.TempDir()
	here := open(t, t.TempDir(), key)
	here.add(t, "one")
	early, err := backup.Make(ctx, here.source(), t.TempDir(), false)
	ok(t, err)
	here.add(t, "two")
	kept, err := backup.Make(ctx, here.source(), to, false)
	ok(t, err)
	other := open(t, t.TempDir(), key)
	for i := range 4 {
		other.add(t, fmt.Sprint("other", i))
	}
	if _, err := backup.Make(ctx, other.source(), to, false); !says(err, "other cases", "another folder") {
		t.Errorf("another practice's cases took the place: %v", err)
	}
	if early.Events >= kept.Events {
		t.Fatalf("%d events before, %d after", early.Events, kept.Events)
	}
	if n, err := os.ReadDir(to); err != nil || len(n) != 3 { // the list, one database, the files
		t.Errorf("%d entries lie in the folder, want 3: %v", len(n), err)
	}
	dir := t.TempDir()
	if _, err := backup.Restore(ctx, to, here.target(dir)); err != nil {
		t.Fatal(err)
	}
	if events, _ := whole(t, dir, key); int64(len(events)) != kept.Events {
		t.Errorf("%d events came back, want %d", len(events), kept.Events)
	}
	here.add(t, "three")
	if _, err := backup.Make(ctx, here.source(), to, false); err != nil {
		t.Errorf("its own back-up does not go on: %v", err)
	}
}

// TestInterruptedBackUp: what an earlier list names stays good until a new one is written.
func TestInterruptedBackUp(t *testing.T) {
	h := open(t, t.TempDir(), newKey(t))
	h.add(t, "one")
	to := t.TempDir()
	before, err := backup.Make(context.Background(), h.source(), to, false)
	ok(t, err)
	h.add(t, "two")
	ctx, cancel := context.WithCancel(context.Background())
	s := h.source()
	s.Named = func(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error) {
		cancel()
		return work.Named(e, get)
	}
	if _, err := backup.Make(ctx, s, to, false); !errors.Is(err, context.Canceled) {
		t.Fatalf("cancelled: %v", err)
	}
	dir := filepath.Join(t.TempDir(), "new")
	r, err := backup.Restore(context.Background(), to, h.target(dir))
	ok(t, err)
	if r.End != before.End {
		t.Error("another back-up than the one before was restored")
	}
	d, err := backup.Make(context.Background(), h.source(), to, false)
	ok(t, err)
	if d.Copied != 1 || bytes.Equal([]byte(d.End), []byte(before.End)) {
		t.Errorf("%d copied after the interruption, want 1", d.Copied)
	}
}

// TestDeletedIsForgotten: what was deleted leaves the back-up, also where one was interrupted
// after its list was written; what came back since stays.
func TestDeletedIsForgotten(t *testing.T) {
	h, to, ctx := open(t, t.TempDir(), newKey(t)), t.TempDir(), context.Background()
	gone, back, kept := h.add(t, "gone"), h.add(t, "back"), h.add(t, "kept")
	before, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	sealed, err := os.ReadFile(h.path(to, gone))
	ok(t, err)
	for _, f := range []store.Hash{gone, back} {
		ok(t, h.desk.Ledger().Change(ctx, func(tx *store.Tx) error {
			_, err := tx.Add("some", "boss", "files-deleted", map[string]any{"files": []store.Hash{f}})
			return err
		}))
	}
	h.add(t, "back")
	d, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	there := func(f store.Hash) bool {
		_, err := os.Stat(h.path(to, f))
		return err == nil
	}
	if there(gone) || !there(back) || !there(kept) || len(d.Blobs) != len(before.Blobs)-1 {
		t.Errorf("gone is there: %v, back: %v, kept: %v; %d listed", there(gone), there(back), there(kept), len(d.Blobs))
	}
	ok(t, os.WriteFile(h.path(to, gone), sealed, 0o600)) // as a kill after the list leaves it
	if _, err = backup.Make(ctx, h.source(), to, false); err != nil || there(gone) || !there(back) || !there(kept) {
		t.Errorf("%v; gone is there: %v, back: %v, kept: %v", err, there(gone), there(back), there(kept))
	}
}
