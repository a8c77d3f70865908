package work_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/work"
)

// TestWatchedFolderIsSet sets another watched folder while the program runs, takes what
// arrives there, watches none, and starts again: what was set last is watched, whatever
// the program was started with.
func TestWatchedFolderIsSet(t *testing.T) {
	ctx := context.Background()
	dir, place := t.TempDir(), t.TempDir()
	at := func(name string) string { return filepath.Join(place, name) }
	for _, n := range []string{"given", "other"} {
		ok(t, os.Mkdir(at(n), 0o700))
	}
	ok(t, os.WriteFile(at("file"), []byte("x"), 0o600))
	eventually := func(what string, f func() bool) {
		t.Helper()
		for end := time.Now().Add(time.Minute); !f(); time.Sleep(20 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("not in a minute: %s", what)
			}
		}
	}
	run := func(d *work.Desk) (stop func()) {
		ctx, cancel := context.WithCancel(ctx)
		ended := make(chan error)
		go func() { ended <- d.WatchSet(ctx, at("given"), func(string) {}) }()
		return func() { cancel(); ok(t, <-ended) }
	}
	watching := func(d *work.Desk, name string) func() bool {
		return func() bool {
			st, yes := d.Watching()
			return !yes && name == "" || yes && name != "" && st.Dir == at(name)
		}
	}
	t.Run("while it runs", func(t *testing.T) {
		d := open(t, dir)
		stop := run(d)
		eventually("the folder that was given is watched", watching(d, "given"))
		for bad, why := range map[string]string{
			"export": "no whole path", at("gone"): "there is no folder", at("file"): "is a file", "/": "a whole drive",
		} {
			err := d.SetWatch(ctx, "boss", bad)
			var p *work.Problem
			if !errors.As(err, &p) || !strings.Contains(err.Error(), why) || p.Try == "" {
				t.Errorf("watching %s: %v; want %q and what to try", bad, err, why)
			}
		}
		ok(t, d.SetWatch(ctx, "boss", at("other")+string(filepath.Separator)))
		eventually("the other folder is watched", watching(d, "other"))
		ok(t, os.Mkdir(at("other/P-9"), 0o700))
		ok(t, os.WriteFile(at("other/P-9/upper.stl"), solid("nine"), 0o600))
		eventually("what arrives there makes a case", func() bool {
			all, err := d.Recent(ctx, 9)
			return err == nil && len(all) == 1 && all[0].Name == "P-9" && len(all[0].Scans) == 1
		})
		ok(t, d.SetWatch(ctx, "boss", ""))
		eventually("none is watched", watching(d, ""))
		ok(t, d.SetWatch(ctx, "boss", at("other")))
		eventually("the other folder is watched again", watching(d, "other"))
		history, err := d.WatchHistory(ctx)
		ok(t, err)
		if len(history) != 3 || history[0].By != "boss" || history[2].What != (work.WatchChange{Dir: at("other"), Was: at("given")}) {
			t.Errorf("history %+v", history)
		}
		stop()
	})
	d := open(t, dir)
	stop := run(d)
	eventually("the folder that was set is watched after a start", watching(d, "other"))
	stop()
}
