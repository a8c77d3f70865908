package web_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestWatchedFolderOnTheList: the list says how it stands with the folder, and is told
// when that changes and when a case arrives.
func TestWatchedFolderOnTheList(t *testing.T) {
	home := install(t, time.Now)
	c := home.browser(t)
	said := c.listen("/stream")
	await := func(what string, f func() bool) {
		t.Helper()
		for end := time.Now().Add(time.Minute); !f(); time.Sleep(20 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("not in a minute: %s\n%s", what, said())
			}
		}
	}
	list := func() string {
		page, _, _ := c.get("/")
		return page
	}
	if page := list(); strings.Contains(page, "are taken from") {
		t.Error("a watched folder is named, and there is none")
	}
	dir := filepath.Join(t.TempDir(), "export <b>")
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- home.desk.Watch(ctx, dir, func(string) {}) }()
	await("the list says that the folder is gone", func() bool { return strings.Contains(list(), "export &lt;b&gt; cannot be read") })
	await("the list is told", func() bool { return strings.Contains(said(), "data: {}") })
	must(t, os.MkdirAll(filepath.Join(dir, "P-7"), 0o700))
	must(t, os.WriteFile(filepath.Join(dir, "P-7", "upper.stl"), []byte("solid s\nfacet normal 0 0 0\nouter loop\nvertex 0 0 0\nvertex 0 9 0\nvertex 9 0 0\nendloop\nendfacet\nendsolid s\n"), 0o600))
	await("the case is on the list", func() bool { return strings.Contains(list(), "P-7") })
	if page := list(); !strings.Contains(page, "are taken from") || strings.Contains(page, "cannot be read") {
		t.Error("the list does not say that all is well again")
	}
	await("the list is told that the folder is gone, that it is back, and that a case came", func() bool {
		return strings.Count(said(), "data: {}") >= 3
	})
	stop()
	must(t, <-ended)
}
