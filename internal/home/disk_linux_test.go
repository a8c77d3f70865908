package home_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"selvage/internal/home"
)

// disk mounts a small disk of memory, for as long as the test runs.
func disk(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("SKIPPED: a disk of its own is needed to fill it, and only root may mount one: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// TestDiskAtTheStart: a disk that is full, or read-only, is told in one line that names it.
func TestDiskAtTheStart(t *testing.T) {
	for _, size := range []string{"size=4k", "size=64k"} {
		dir := disk(t, size)
		if size == "size=4k" { // a page for the folder's own file, and none left
			if err := os.WriteFile(filepath.Join(dir, "else"), make([]byte, 4096), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		wantLine(t, home.Place{Data: dir, Keys: filepath.Join(t.TempDir(), "k")}, dir, "the disk is full", "make room")
	}
	dir := disk(t, "size=1m")
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, "size=1m"); err != nil {
		t.Fatal(err)
	}
	for _, data := range []string{dir, filepath.Join(dir, "new")} {
		wantLine(t, home.Place{Data: data, Keys: filepath.Join(t.TempDir(), "k")}, data, "read-only, or not yours", "--data")
	}
}

func wantLine(t *testing.T, p home.Place, words ...string) {
	t.Helper()
	r, err := p.Open(t.Context(), "a test")
	if err == nil {
		t.Errorf("%s: it opens", p.Data)
		_ = r.Close()
		return
	}
	var known *home.Problem
	if !errors.As(err, &known) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%s: %v, want one line", p.Data, err)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%s: %v, want %q", p.Data, err, w)
		}
	}
}
