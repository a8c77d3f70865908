package storetest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"selvage/internal/store"
)

// Ledger runs the suite on an empty database.
func Ledger(t *testing.T, db *sql.DB) {
	l := store.New(db, clock())
	ctx := context.Background()
	t.Run("an empty ledger is whole", func(t *testing.T) { holds(t, l, 0) })
	t.Run("events come back as they were added", func(t *testing.T) {
		add(t, l, "a", "one", map[string]any{"text": "späte Änderung \u0000 <&>", "n": 1.5})
		add(t, l, "b", "one", map[string]any{})
		add(t, l, "a", "two", map[string]any{})
		got, err := l.Events(ctx, "a")
		if err != nil || len(got) != 2 {
			t.Fatalf("events of a: %v, %v", got, err)
		}
		if got[0].N != 1 || got[1].N != 2 || got[0].Seq != 1 || got[1].Seq != 3 || got[1].Kind != "two" || got[0].Actor != "somebody" {
			t.Errorf("events of a: %+v", got)
		}
		var body struct{ Text string }
		if err := got[0].Decode(&body); err != nil || body.Text != "späte Änderung \u0000 <&>" {
			t.Errorf("body %q, %v", body.Text, err)
		}
		holds(t, l, 3)
	})
	t.Run("a change that fails leaves no trace", func(t *testing.T) {
		boom := errors.New("boom")
		err := l.Change(ctx, func(tx *store.Tx) error {
			if _, err := tx.Add("a", "somebody", "three", struct{}{}); err != nil {
				return err
			}
			return boom
		})
		if !errors.Is(err, boom) {
			t.Errorf("error %v, want boom", err)
		}
		holds(t, l, 3)
	})
	t.Run("many writers make one chain", func(t *testing.T) {
		const writers, each = 8, 20
		var wg sync.WaitGroup
		errs := make(chan error, writers*each)
		for w := range writers {
			wg.Go(func() {
				for range each {
					errs <- l.Change(ctx, func(tx *store.Tx) error {
						_, err := tx.Add(fmt.Sprintf("case-%d", w%3), "somebody", "more", struct{}{})
						return err
					})
				}
			})
		}
		wg.Wait()
		close(errs)
		for err := range errs {
			if err != nil {
				t.Error(err)
			}
		}
		holds(t, l, 3+writers*each)
	})
	t.Run("where a case stands", func(t *testing.T) { standing(t, l) })
	t.Run("a key is kept once", func(t *testing.T) { once(t, l) })
	t.Run("the database refuses to alter what happened", func(t *testing.T) {
		for _, q := range []string{`UPDATE event SET actor = 'nobody' WHERE seq = 1`, `DELETE FROM event WHERE seq = 2`} {
			if _, err := db.ExecContext(ctx, q); err == nil || !strings.Contains(err.Error(), "append-only") {
				t.Errorf("%s: %v, want a refusal", q, err)
			}
		}
	})
	t.Run("a forged event is found", func(t *testing.T) {
		_, err := db.ExecContext(ctx, `INSERT INTO event (seq, case_id, n, at, actor, kind, body, hash) SELECT seq + 1, 'forged', 1, at, actor, kind, body, hash FROM event ORDER BY seq DESC LIMIT 1`)
		if err != nil {
			t.Fatal(err)
		}
		var broken *store.BrokenChainError
		if _, err := l.Verify(ctx); !errors.As(err, &broken) || broken.Seq != 3+160+1 {
			t.Errorf("verify: %v, want event 164 named", err)
		}
	})
}

func standing(t *testing.T, l *store.Ledger) {
	ctx := context.Background()
	for i, v := range []store.Now{
		{Case: "a", N: 1, At: 10, Find: "a", State: []byte(`{"v":1}`)},
		{Case: "b", N: 1, At: 20, Find: "b", State: []byte(`{"v":2}`)},
		{Case: "a", N: 2, At: 30, Find: "aa", State: []byte(`{"v":3}`)},
	} {
		if err := l.Change(ctx, func(tx *store.Tx) error { return tx.SetNow(v) }); err != nil {
			t.Fatal(i, err)
		}
	}
	got, err := l.Recent(ctx, 10)
	if err != nil || len(got) != 2 || got[0].Case != "a" || got[0].N != 2 || string(got[0].State) != `{"v":3}` || got[1].Case != "b" {
		t.Errorf("recent: %+v, %v", got, err)
	}
	if got, err := l.Recent(ctx, 1); err != nil || len(got) != 1 {
		t.Errorf("one recent: %v, %v", got, err)
	}
}

func once(t *testing.T, l *store.Ledger) {
	var first, second string
	for _, p := range []*string{&first, &second} {
		err := l.Change(context.Background(), func(tx *store.Tx) error {
			was, found, err := tx.Once("k")
			if err != nil {
				return err
			}
			if found {
				*p = "again " + was
				return nil
			}
			*p = "new"
			return tx.KeepOnce("k", "answer")
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if first != "new" || second != "again answer" {
		t.Errorf("first %q, second %q", first, second)
	}
}

func add(t *testing.T, l *store.Ledger, id, kind string, body any) {
	t.Helper()
	err := l.Change(context.Background(), func(tx *store.Tx) error {
		_, err := tx.Add(id, "somebody", kind, body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func holds(t *testing.T, l *store.Ledger, want int64) {
	t.Helper()
	if n, err := l.Verify(context.Background()); err != nil || n != want {
		t.Errorf("the ledger holds %d events (%v), want %d", n, err, want)
	}
}

// clock returns a clock that goes on by a second at every look.
func clock() func() time.Time {
	var mu sync.Mutex
	at := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Second)
		return at
	}
}
