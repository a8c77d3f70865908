package work_test

import (
	"bytes"
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"selvage/internal/job"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// shelf keeps blobs, of which a test may hold some fast, and lose others as soon as they are
// put.
type shelf struct {
	*folder.Blobs
	stuck map[store.Hash]bool
	mu    sync.Mutex
	lose  []string // how what is lost begins, each once
}

var errStuck = errors.New("somebody else holds it open")

func (s *shelf) Remove(ctx context.Context, h store.Hash) error {
	if s.stuck[h] {
		return errStuck
	}
	return s.Blobs.Remove(ctx, h)
}

func (s *shelf) Put(ctx context.Context, r io.Reader) (store.Hash, int64, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return "", 0, err
	}
	h, n, err := s.Blobs.Put(ctx, bytes.NewReader(data))
	s.mu.Lock()
	defer s.mu.Unlock()
	if err == nil && len(s.lose) > 0 && bytes.HasPrefix(data, []byte(s.lose[0])) {
		s.lose = s.lose[1:]
		err = s.Blobs.Remove(ctx, h)
	}
	return h, n, err
}

// gate is a database that says when a transaction is about to begin.
type gate struct {
	of     driver.Driver
	dsn    string
	opened func()
}

// Connect opens a connection.
func (g gate) Connect(context.Context) (driver.Conn, error) {
	c, err := g.of.Open(g.dsn)
	return gated{c, g.opened}, err
}

// Driver is what opens the connections.
func (g gate) Driver() driver.Driver { return g.of }

type gated struct {
	driver.Conn
	opened func()
}

func (g gated) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	g.opened()
	return g.Conn.(driver.ConnBeginTx).BeginTx(ctx, o)
}

func (g gated) ExecContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Result, error) {
	return g.Conn.(driver.ExecerContext).ExecContext(ctx, q, args)
}

func (g gated) QueryContext(ctx context.Context, q string, args []driver.NamedValue) (driver.Rows, error) {
	return g.Conn.(driver.QueryerContext).QueryContext(ctx, q, args)
}

// cellar is a desk in which nothing is checked, whose clock a test turns.
type cellar struct {
	*work.Desk
	db     *sql.DB
	blobs  *shelf
	now    time.Time
	n      int            // changes of the ledger that were begun
	before map[int]func() // what happens just before one of them
}

// old is as long ago as a case has to be that is deleted.
var old = time.Now().AddDate(-8, 0, 0)

func dig(t *testing.T) *cellar {
	t.Helper()
	dir := t.TempDir()
	db, blobs := storeIn(t, dir)
	c := &cellar{blobs: &shelf{Blobs: blobs, stuck: map[store.Hash]bool{}}, now: old, before: map[int]func(){}}
	c.db = sql.OpenDB(gate{db.Driver(), "file:" + filepath.Join(dir, "selvage.db") + "?_txlock=immediate&_pragma=busy_timeout(5000)", c.begins})
	c.db.SetMaxOpenConns(4)
	t.Cleanup(func() { _, _ = c.db.Close(), db.Close() })
	ok(t, c.open())
	return c
}

// open opens the desk anew, as a start of the program does.
func (c *cellar) open() (err error) {
	c.Desk, err = work.Open(context.Background(), work.Options{Ledger: store.New(c.db, func() time.Time { return c.now }), Blobs: c.blobs, Dialect: job.SQLite, Alone: true})
	c.n = 0
	return err
}

func (c *cellar) begins() {
	c.n++
	if f := c.before[c.n]; f != nil {
		f()
	}
}

// holding opens a case that holds files.
func (c *cellar) holding(t *testing.T, files ...string) (id string) {
	t.Helper()
	id, err := c.NewCase(t.Context(), "asst", "", "")
	ok(t, err)
	var in []work.Incoming
	for _, f := range files {
		in = append(in, work.Incoming{Name: f + ".stl", Data: strings.NewReader(f)})
	}
	ok(t, c.AddScans(t.Context(), "asst", id, in))
	return id
}

// due makes a case ready to be deleted by the second person.
func (c *cellar) due(t *testing.T, id string) {
	t.Helper()
	c.now = time.Now()
	c.backup(t, 0)
	ok(t, c.AskDeletion(t.Context(), "boss", id, c.now.AddDate(-7, 0, 0)))
	c.n = 0
}

func (c *cellar) backup(t *testing.T, missing int) {
	t.Helper()
	end, err := c.Ledger().End(t.Context())
	ok(t, err)
	ok(t, work.NoteBackup(t.Context(), c.Ledger(), work.Backup{To: "disk", Events: end, Missing: missing}))
}

func (c *cellar) remove(id string) error {
	return c.Delete(context.Background(), "dr", id, c.now.AddDate(-7, 0, 0))
}

func (c *cellar) holds(t *testing.T, want map[string]bool) {
	t.Helper()
	for f, there := range want {
		if _, err := c.blobs.Get(t.Context(), store.HashOf([]byte(f))); (err == nil) != there {
			t.Errorf("the file %q: %v; want it there: %v", f, err, there)
		}
	}
}

// TestAnotherCaseTakesTheFileMeanwhile: a file that another case comes to hold while the one
// that held it is deleted stays, whenever that is; and none that went is held by a case.
func TestAnotherCaseTakesTheFileMeanwhile(t *testing.T) {
	for n, when := range map[int]string{1: "before it is written down", 2: "before it is removed"} {
		c := dig(t)
		id := c.holding(t, "one", "two")
		c.due(t, id)
		c.before[n] = func() { c.holding(t, "two") }
		ok(t, c.remove(id))
		c.holds(t, map[string]bool{"one": false, "two": true})
		events, err := c.Ledger().OfKind(t.Context(), "files-deleted")
		ok(t, err)
		if n == 1 && strings.Contains(string(events[0].Body), string(store.HashOf([]byte("two")))) {
			t.Error("the ledger, and with it a back-up, says that it is deleted")
		}
		if t.Failed() {
			t.Fatal(when)
		}
	}
	c := dig(t)
	id := c.holding(t, "one")
	c.due(t, id)
	other := c.holding(t)
	kept, err := c.Keep(t.Context(), work.Incoming{Name: "one.stl", Data: strings.NewReader("one")})
	ok(t, err)
	ok(t, c.remove(id))
	_, err = c.AddKept(t.Context(), "asst", other, []work.Scan{kept})
	refusedFor(t, err, "deleted with another case meanwhile")
	if n := len(see(t, c.Desk, other).Scans); n > 0 {
		t.Errorf("the case holds %d files that are gone", n)
	}
	ok(t, c.AddScans(t.Context(), "asst", other, []work.Incoming{{Name: "one.stl", Data: strings.NewReader("one")}}))
	c.holds(t, map[string]bool{"one": true})
}

// TestTheLastCaseTakesTheFileAlong: what two cases held goes with the second of them.
func TestTheLastCaseTakesTheFileAlong(t *testing.T) {
	c := dig(t)
	a, b := c.holding(t, "one", "both"), c.holding(t, "two", "both")
	c.due(t, a)
	ok(t, c.remove(a))
	c.holds(t, map[string]bool{"one": false, "two": true, "both": true})
	if rows, _, err := c.Board(t.Context(), 10, c.now); err != nil || len(rows) != 1 || rows[0].ID != b {
		t.Errorf("on the board: %+v, %v; want the case that was not deleted", rows, err)
	}
	c.due(t, b)
	ok(t, c.remove(b))
	c.holds(t, map[string]bool{"two": false, "both": false})
}

// TestACheckKeepsWhatItNames: an answer, or a picture, that is gone before its event was
// written is made once more.
func TestACheckKeepsWhatItNames(t *testing.T) {
	ctx := context.Background()
	db, blobs := storeIn(t, t.TempDir())
	s := &shelf{Blobs: blobs, lose: []string{`{"report"`, `{"figures"`}}
	d := openOn(t, db, s)
	id, err := d.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "working.stl", Data: bytes.NewReader(solid("a"))}}))
	k := await(t, d, id)
	if k.State != work.Done || k.Shown == "" || len(s.lose) > 0 {
		t.Fatalf("the check: %+v; not lost: %q", k, s.lose)
	}
	if _, _, err := d.Result(ctx, k); err != nil {
		t.Errorf("the answer: %v", err)
	}
}

// TestPicturesGoAfterAKill: a program that was killed after it removed an answer, and before
// the picture that only the answer names, removes the picture when it starts again.
func TestPicturesGoAfterAKill(t *testing.T) {
	c := dig(t)
	id := c.holding(t, "scan")
	put := func(data string) store.Hash {
		h, _, err := c.blobs.Put(t.Context(), strings.NewReader(data))
		ok(t, err)
		return h
	}
	picture := put("picture")
	answer := put(`{"report":{},"figures":[{"sha256":"` + string(picture) + `"}]}`)
	ok(t, c.Ledger().Change(t.Context(), func(tx *store.Tx) error {
		for _, v := range [][2]any{
			{"check-done", map[string]any{"check": "k", "result": answer}},
			{"files-deleted", map[string]any{"asked": "boss", "files": []store.Hash{answer, picture, store.HashOf([]byte("scan"))}}},
		} {
			if _, err := tx.Add(id, "dr", v[0].(string), v[1]); err != nil {
				return err
			}
		}
		return nil
	}))
	ok(t, c.blobs.Remove(t.Context(), answer))
	ok(t, c.open())
	c.holds(t, map[string]bool{"picture": false, "scan": false})
}

// TestAFileThatStays: a file that cannot be removed keeps neither the program from starting
// nor other files from going; it is tried again.
func TestAFileThatStays(t *testing.T) {
	c := dig(t)
	a, b, last := c.holding(t, "fast"), c.holding(t, "loose"), c.holding(t, "last")
	c.blobs.stuck[store.HashOf([]byte("fast"))], c.blobs.stuck[store.HashOf([]byte("loose"))] = true, true
	for _, id := range []string{a, b} {
		c.due(t, id)
		if err := c.remove(id); !errors.Is(err, errStuck) {
			t.Fatalf("nobody is told that the file stays: %v", err)
		}
	}
	delete(c.blobs.stuck, store.HashOf([]byte("loose")))
	ok(t, c.open())
	c.holds(t, map[string]bool{"fast": true, "loose": false})
	delete(c.blobs.stuck, store.HashOf([]byte("fast")))
	c.due(t, last)
	c.before[2] = func() { ok(t, c.open()) } // another server starts, and finds it half done
	ok(t, c.remove(last))
	c.holds(t, map[string]bool{"fast": false, "last": false})
	if gone, err := c.Ledger().OfKind(t.Context(), "files-gone"); err != nil || len(gone) != 3 {
		t.Errorf("%d times it is said that files of three cases are gone (%v)", len(gone), err)
	}
}

// TestDeletingNeedsOneConnection: a change that waits for a second connection to the
// database waits for ever where all of them do.
func TestDeletingNeedsOneConnection(t *testing.T) {
	c := dig(t)
	id := c.holding(t, "one")
	c.now = time.Now()
	c.backup(t, 0)
	c.db.SetMaxOpenConns(1)
	ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
	defer stop()
	than := c.now.AddDate(-7, 0, 0)
	ok(t, c.AskDeletion(ctx, "boss", id, than))
	ok(t, c.Delete(ctx, "dr", id, than))
	c.holds(t, map[string]bool{"one": false})
}

// TestDeletingNeedsABackup: nothing is deleted that no whole back-up holds as it last was,
// and what was asked can be taken back.
func TestDeletingNeedsABackup(t *testing.T) {
	c := dig(t)
	ctx, than := t.Context(), time.Now().AddDate(-7, 0, 0)
	id := c.holding(t, "one")
	c.now = time.Now()
	ask := func() error { return c.AskDeletion(ctx, "boss", id, than) }
	refusedFor(t, ask(), "no whole back-up") // none was made
	c.backup(t, 1)
	refusedFor(t, ask(), "no whole back-up") // a file was missing
	end, err := c.Ledger().End(ctx)
	ok(t, err)
	c.now = old
	ok(t, c.NoteTemporary(ctx, "asst", id, true))
	c.now = time.Now()
	ok(t, work.NoteBackup(ctx, c.Ledger(), work.Backup{To: "disk", Events: end})) // it ended later than it copied
	refusedFor(t, ask(), "no whole back-up")
	c.backup(t, 0)
	ok(t, c.Hold(ctx, "dr", id, "a dispute")) // none of what follows changes the case
	ok(t, c.LetGo(ctx, "dr", id))
	ok(t, ask())
	ok(t, c.TakeBackDeletion(ctx, "boss", id))
	if k := see(t, c.Desk, id).Keeping; k.Asked != nil {
		t.Errorf("it was taken back: %+v", k)
	}
	refusedFor(t, c.remove(id), "nobody asked")
	ok(t, ask())
	ok(t, work.NoteBackup(ctx, c.Ledger(), work.Backup{To: "disk", Events: end, Missing: 1}))
	refusedFor(t, c.remove(id), "no whole back-up")
	c.backup(t, 0)
	ok(t, c.Hold(ctx, "dr", id, "a dispute")) // which takes back that it was asked
	refusedFor(t, c.remove(id), "nobody asked")
	c.holds(t, map[string]bool{"one": true})
	ok(t, c.LetGo(ctx, "dr", id))
	ok(t, ask())
	ok(t, c.remove(id))
	c.holds(t, map[string]bool{"one": false})
	rows, err := c.Recent(ctx, 1)
	ok(t, err)
	if data, err := json.Marshal(rows[0].Keeping); err != nil || rows[0].Keeping.Deleted == nil {
		t.Errorf("%s, %v", data, err)
	}
}
