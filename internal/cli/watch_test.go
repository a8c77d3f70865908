package cli

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"selvage/internal/work"
)

// lines is an output that may be read while it is written.
type lines struct {
	mu sync.Mutex
	b  bytes.Buffer
}

// Write adds p.
func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lines) has(s string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Contains(l.b.String(), s)
}

// await waits until f holds.
func await(t *testing.T, what string, f func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !f(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not in a minute: %s", what)
		}
	}
}

// TestServeWatches runs the program on a folder that comes late, is filled, goes away and
// comes back, starts it again, and looks whether anything in the folder was altered.
func TestServeWatches(t *testing.T) {
	dir := t.TempDir()
	at := func(parts ...string) string { return filepath.Join(append([]string{dir}, parts...)...) }
	made := func(n int) func(*work.Desk) bool {
		return func(d *work.Desk) bool {
			all, err := d.Recent(context.Background(), 10)
			return err == nil && len(all) == n && len(all[0].Scans) > 0
		}
	}
	put := func(folder, content string) {
		t.Helper()
		if err := os.MkdirAll(at("export", folder), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at("export", folder, "upper.stl"), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	solid := "solid s\nfacet normal 0 0 0\nouter loop\nvertex 0 0 0\nvertex 0 9 0\nvertex 9 0 0\nendloop\nendfacet\nendsolid s\n"
	served(t, at, func(d *work.Desk, errs *lines) {
		await(t, "the folder that is not there is named", func() bool { return errs.has("cannot be read") })
		put("P-7", solid)
		await(t, "a case is made", func() bool { return made(1)(d) })
		if !errs.has("is read again") {
			t.Error("nothing was said when the folder came")
		}
	})
	before, err := folderState(at("export"))
	if err != nil {
		t.Fatal(err)
	}
	served(t, at, func(d *work.Desk, errs *lines) {
		time.Sleep(5 * time.Second) // what was taken is not taken again
		if !made(1)(d) {
			t.Error("another case was made of what was taken before the start")
		}
		if after, err := folderState(at("export")); err != nil || after != before {
			t.Errorf("the folder was altered (%v):\n%s\n%s", err, before, after)
		}
		put("P-8", strings.ReplaceAll(solid, "9", "8"))
		await(t, "another case is made", func() bool { return made(2)(d) })
	})
	if _, errs := run(t, 2, "serve", "--data", at("data"), "--keys", at("key"), "--listen", "127.0.0.1:0", "--watch", at("data", "blobs")); !strings.Contains(errs, "lie in one another") {
		t.Errorf("watching its own folder: %s", errs)
	}
}

// served runs the program while f does.
func served(t *testing.T, at func(...string) string, f func(*work.Desk, *lines)) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	desks, code := make(chan *work.Desk, 1), make(chan int, 1)
	var out, errs lines
	env := Env{Stdout: &out, Stderr: &errs, Pages: func(s work.Shop) (http.Handler, error) {
		desks <- s.Desk
		return http.NotFoundHandler(), nil
	}}
	go func() {
		code <- Main(ctx, []string{"serve", "--data", at("data"), "--keys", at("key"), "--listen", "127.0.0.1:0", "--watch", at("export")}, env)
	}()
	select {
	case d := <-desks:
		f(d, &errs)
	case c := <-code:
		t.Fatalf("it ended with code %d: %s", c, errs.b.String())
	}
	stop()
	if c := <-code; c != 0 {
		t.Errorf("it ended with code %d: %s", c, errs.b.String())
	}
}
