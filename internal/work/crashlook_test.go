package work_test

import (
	"context"
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/work"
)

// look opens what a killed program left and says what is wrong with it, and how many checks
// have their verdict and wait to be drawn.
func look(t *testing.T, dir string, said []ack) (drawing int) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	ok(t, err)
	defer db.Close()
	l := store.New(db, time.Now)
	n, err := l.Verify(ctx)
	if err != nil {
		t.Error(err)
	}
	events, err := l.Since(ctx, 0, int(n)+1)
	ok(t, err)
	if len(events) == 0 && len(said) == 0 {
		return 0 // it was killed before it did anything
	}
	key, err := keyOf(dir, false)
	ok(t, err)
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	ok(t, err)
	by := map[string][]store.Event{}
	for _, e := range events {
		by[e.Case] = append(by[e.Case], e)
	}
	drawing = lookAtCases(t, l, by)
	lookAtBlobs(t, blobs, events)
	for _, a := range said {
		if !kept(t, l, by[a.Case], a) {
			t.Errorf("it was said to be done and is not there: %+v", a)
		}
	}
	return drawing
}

// lookAtCases checks that the list of cases agrees with the events, that each check has
// ended at most once, and that each one that waits, or waits to be drawn, has a task that
// will run.
func lookAtCases(t *testing.T, l *store.Ledger, by map[string][]store.Event) (drawing int) {
	t.Helper()
	ctx := context.Background()
	rows, err := l.Recent(ctx, 1<<20)
	ok(t, err)
	if len(rows) != len(by) {
		t.Errorf("%d cases are listed, %d have events", len(rows), len(by))
	}
	for _, r := range rows {
		c, err := work.Replay(r.Case, by[r.Case])
		ok(t, err)
		if want, err := json.Marshal(c); err != nil || string(want) != string(r.State) {
			t.Errorf("case %s is listed as\n%s\nand its events say (%v)\n%s", r.Case, r.State, err, want)
		}
		ends := map[string]int{}
		for _, e := range by[r.Case] {
			if e.Kind == "check-done" || e.Kind == "check-ended" {
				var v struct{ Check string }
				ok(t, e.Decode(&v))
				ends[v.Check]++
			}
		}
		for _, k := range c.Checks {
			want := 1
			if k.State == work.Waiting {
				want = 0
			}
			if k.Drawing {
				drawing++
			}
			if k.State == work.Waiting || k.Drawing {
				var state string
				ok(t, l.DB().QueryRow(`SELECT state FROM river_job WHERE id = $1`, k.Job).Scan(&state))
				if !slices.Contains([]string{"available", "running", "retryable", "scheduled"}, state) {
					t.Errorf("check %s waits for a task that is %s: it is lost", k.ID, state)
				}
			}
			if ends[k.ID] != want {
				t.Errorf("check %s (%s) has ended %d times", k.ID, k.State, ends[k.ID])
			}
		}
	}
	return drawing
}

// lookAtBlobs checks that every blob is whole, and that each one an event names is there.
func lookAtBlobs(t *testing.T, b *folder.Blobs, events []store.Event) {
	t.Helper()
	ctx := context.Background()
	there := map[store.Hash]bool{}
	ok(t, b.Each(ctx, func(h store.Hash) error { there[h] = true; return nil }))
	for _, e := range events {
		var v struct {
			Scan   store.Hash `json:"sha256"`
			Result store.Hash `json:"result"`
			Shown  store.Hash `json:"shown"`
		}
		ok(t, e.Decode(&v))
		for _, h := range []store.Hash{v.Scan, v.Result, v.Shown} {
			if h != "" && !there[h] {
				t.Errorf("event %d (%s) names a file that is not there: %s", e.Seq, e.Kind, h)
			}
		}
	}
	for h := range there {
		if _, err := b.Get(ctx, h); err != nil {
			t.Errorf("a stored file does not read back: %v", err)
		}
	}
}

// kept reports whether the events hold what was said.
func kept(t *testing.T, l *store.Ledger, events []store.Event, a ack) bool {
	t.Helper()
	if a.What == "delivered" { // the scan and the note of where it came from, in one case
		var n int
		ok(t, l.DB().QueryRow(`SELECT COUNT(*) FROM event AS s JOIN event AS d ON d.case_id = s.case_id
			WHERE s.kind = 'scan-added' AND d.kind = 'files-delivered' AND instr(s.body, $1) > 0 AND instr(d.body, $1) > 0`, a.Value).Scan(&n))
		return n == 1
	}
	if a.What == "case" {
		var id string
		ok(t, l.DB().QueryRow(`SELECT answer FROM once WHERE key = $1`, "case "+a.Value).Scan(&id))
		return len(events) > 0 && id == a.Case
	}
	for _, e := range events {
		body := string(e.Body)
		switch a.What + " " + e.Kind {
		case "scan scan-added", "order order-changed", "decided decided":
			if strings.Contains(body, `"`+a.Value+`"`) {
				return true
			}
		case "asked check-asked":
			return true
		case "ended check-ended":
			id, how, _ := strings.Cut(a.Value, " ")
			if strings.Contains(body, `"`+id+`"`) && strings.Contains(body, `"`+how+`"`) {
				return true
			}
		case "ended check-done":
			if id, how, _ := strings.Cut(a.Value, " "); how == "done" && strings.Contains(body, `"`+id+`"`) {
				return true
			}
		}
	}
	return false
}

// settled starts the program once more and lets it finish: every check ends.
func settled(t *testing.T, dir string, said []ack) {
	ctx := context.Background()
	t.Run("finish", func(t *testing.T) {
		d := open(t, dir)
		end := time.Now().Add(2 * time.Minute)
		for {
			var n int
			ok(t, d.Ledger().DB().QueryRow(`SELECT COUNT(*) FROM river_job WHERE finalized_at IS NULL`).Scan(&n))
			if n == 0 {
				break
			}
			if time.Now().After(end) {
				t.Fatalf("%d tasks have not ended", n)
			}
			time.Sleep(20 * time.Millisecond)
		}
		cases, err := d.Recent(ctx, 1<<20)
		ok(t, err)
		ends := map[work.State]int{}
		for _, c := range cases {
			for _, k := range c.Checks {
				ends[k.State]++
				if k.State == work.Waiting || k.State == work.Failed && !strings.Contains(k.What, "the program died each time") {
					t.Errorf("check %s of case %s is %s: %s", k.ID, c.ID, k.State, k.What)
				}
				if k.State == work.Done && (k.Drawing || k.Shown == "" && k.Unshown == "") {
					t.Errorf("check %s of case %s is done and was never drawn: %+v", k.ID, c.ID, k)
				}
			}
		}
		t.Logf("%d cases, checks %v, %d said to be done", len(cases), ends, len(said))
	})
	look(t, dir, said)
}
