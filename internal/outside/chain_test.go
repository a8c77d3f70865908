package outside

import (
	"context"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/sqlite"
)

// TestChainRecomputed has a separate program, which shares no code with the ledger,
// recompute its chain: it holds as it was written, and not once an event was altered or
// taken out.
func TestChainRecomputed(t *testing.T) {
	ctx := context.Background()
	bin := filepath.Join(t.TempDir(), "chain")
	if out, err := exec.Command("go", "build", "-o", bin, "selvage/cmd/chain").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, c := range []struct{ name, harm, want string }{
		{"as written", "", "5 events, the chain holds"},
		{"altered", "UPDATE event SET body = '{\"text\":\"other\"}' WHERE seq = 3", "event 3 is not what its hash says"},
		{"taken out", "DELETE FROM event WHERE seq = 4", "event 4 is missing"},
	} {
		path := filepath.Join(t.TempDir(), "selvage.db")
		db, err := sqlite.Open(ctx, path)
		if err != nil {
			t.Fatal(err)
		}
		l := store.New(db, func() time.Time { return time.Date(2026, 5, 4, 10, 0, 0, 0, time.UTC) })
		for i := range 5 {
			id := []string{"one", "two", ""}[i%3]
			if err := l.Change(ctx, func(tx *store.Tx) error {
				_, err := tx.Add(id, "someone", "noted", map[string]string{"text": strings.Repeat("ä", i)})
				return err
			}); err != nil {
				t.Fatal(err)
			}
		}
		if c.harm != "" {
			for _, q := range []string{"DROP TRIGGER event_is_never_altered", "DROP TRIGGER event_is_never_removed", c.harm} {
				if _, err := db.Exec(q); err != nil {
					t.Fatalf("%s: %v", q, err)
				}
			}
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(bin, path).CombinedOutput()
		if got := strings.TrimSpace(string(out)); got != c.want || (err == nil) != (c.harm == "") {
			t.Errorf("%s: %q (%v), want %q", c.name, got, err, c.want)
		}
	}
}
