package backup_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"selvage/internal/store/backup"
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

func TestFullDisk(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	for i := range 5 {
		h.add(t, strings.Repeat("a large scan ", 4000+i))
	}
	for _, size := range []string{"size=64k", "size=360k"} { // full at the database, and at a file
		to := disk(t, size)
		if _, err := backup.Make(ctx, h.source(), to, false); !says(err, to, "the disk is full") {
			t.Errorf("%s: %v", size, err)
		}
	}
	to := t.TempDir()
	_, err := backup.Make(ctx, h.source(), to, false)
	ok(t, err)
	for _, size := range []string{"size=64k", "size=360k"} {
		dir := disk(t, size)
		if _, err := backup.Restore(ctx, to, h.target(dir)); !says(err, dir, "the disk is full") {
			t.Errorf("restore to %s: %v", size, err)
		}
		if entries, err := os.ReadDir(dir); err != nil || len(entries) != 0 {
			t.Errorf("it left %v, %v", entries, err)
		}
	}
}

func TestReadOnlyFolder(t *testing.T) {
	ctx := context.Background()
	h := open(t, t.TempDir(), newKey(t))
	h.add(t, "one")
	to := t.TempDir()
	if os.Getuid() != 0 {
		ok(t, os.Chmod(to, 0o500))
	} else {
		to = disk(t, "size=1m")
		ok(t, syscall.Mount("tmpfs", to, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, "size=1m"))
	}
	for _, dir := range []string{to, filepath.Join(to, "new")} {
		if _, err := backup.Make(ctx, h.source(), dir, false); !says(err, dir, "cannot be written") {
			t.Errorf("back-up to %s: %v", dir, err)
		}
	}
	made := t.TempDir()
	_, err := backup.Make(ctx, h.source(), made, false)
	ok(t, err)
	if _, err := backup.Restore(ctx, made, h.target(to)); !says(err, to, "cannot be written") {
		t.Errorf("restore: %v", err)
	}
}
