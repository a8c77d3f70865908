package folder_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/storetest"
)

func open(t *testing.T, dir, key string) *folder.Blobs {
	t.Helper()
	k, err := folder.LoadKey(key, true)
	if err != nil {
		t.Fatal(err)
	}
	b, err := folder.Open(dir, k)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestBlobs(t *testing.T) {
	storetest.Blobs(t, open(t, t.TempDir(), filepath.Join(t.TempDir(), "key")))
}

func TestStoredFilesAreSealed(t *testing.T) {
	dir, key := t.TempDir(), filepath.Join(t.TempDir(), "keys", "key")
	b := open(t, dir, key)
	secret := []byte("solid of a real mouth")
	h, _, err := b.Put(context.Background(), bytes.NewReader(secret))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, string(h[:2]), string(h))
	raw, err := os.ReadFile(path)
	if err != nil || bytes.Contains(raw, secret) {
		t.Fatalf("the file holds its content in the clear, or is not there: %v", err)
	}
	info, err := os.Stat(key)
	if err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("others may read the key: %v, %v", info.Mode(), err)
	}
	t.Run("another key", func(t *testing.T) {
		other := open(t, dir, filepath.Join(t.TempDir(), "key"))
		_, err := other.Get(context.Background(), h)
		wantCorrupt(t, err, "another key")
	})
	t.Run("a flipped bit", func(t *testing.T) {
		bad := bytes.Clone(raw)
		bad[len(bad)-3] ^= 1
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := b.Get(context.Background(), h)
		wantCorrupt(t, err, "damaged")
	})
	t.Run("another blob under its name", func(t *testing.T) {
		h2, _, err := b.Put(context.Background(), strings.NewReader("other"))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(filepath.Join(dir, string(h2[:2]), string(h2)), path); err != nil {
			t.Fatal(err)
		}
		_, err = b.Get(context.Background(), h)
		wantCorrupt(t, err, "another content")
	})
}

func wantCorrupt(t *testing.T, err error, words string) {
	t.Helper()
	var c *store.CorruptError
	if !errors.As(err, &c) || !strings.Contains(err.Error(), words) {
		t.Errorf("%v, want a CorruptError with %q", err, words)
	}
}

func TestOpenClearsWhatACrashLeft(t *testing.T) {
	dir := t.TempDir()
	all := []string{filepath.Join(dir, "unfinished-123"), filepath.Join(dir, "ab", "unfinished-123")}
	for _, left := range all {
		if err := errors.Join(os.MkdirAll(filepath.Dir(left), 0o700), os.WriteFile(left, []byte("half"), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	open(t, dir, filepath.Join(t.TempDir(), "key"))
	for _, left := range all {
		if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("it is still there: %v", err)
		}
	}
}

func TestKeyThatIsMissingOrWrong(t *testing.T) {
	dir := t.TempDir()
	if _, err := folder.LoadKey(filepath.Join(dir, "none"), false); err == nil || !strings.Contains(err.Error(), "is missing") {
		t.Errorf("missing key: %v", err)
	}
	path := filepath.Join(dir, "bad")
	if err := os.WriteFile(path, []byte("not a key"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := folder.LoadKey(path, true); err == nil || !strings.Contains(err.Error(), "holds no key") {
		t.Errorf("bad key: %v", err)
	}
}

// TestCutOffIsNotKept: what ends in the middle is no file, at whatever length it ends; what
// ends as it should is kept to the byte.
func TestCutOffIsNotKept(t *testing.T) {
	b := open(t, t.TempDir(), filepath.Join(t.TempDir(), "key"))
	for _, n := range []int{0, 1, 1<<18 - 1, 1 << 18, 1<<18 + 1, 3 << 18} {
		data := bytes.Repeat([]byte("mouth"), n/5+1)[:n]
		if _, _, err := b.Put(context.Background(), io.MultiReader(bytes.NewReader(data), iotest.ErrReader(io.ErrUnexpectedEOF))); !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Errorf("%d bytes and then cut off: %v", n, err)
		}
		for _, r := range []io.Reader{bytes.NewReader(data), iotest.HalfReader(bytes.NewReader(data)), iotest.DataErrReader(bytes.NewReader(data))} {
			h, size, err := b.Put(context.Background(), r)
			if err != nil || size != int64(n) || h != store.HashOf(data) {
				t.Errorf("%d bytes: %d, %v", n, size, err)
			}
			if got, err := b.Get(context.Background(), h); err != nil || !bytes.Equal(got, data) {
				t.Errorf("%d bytes are not what was kept: %v", n, err)
			}
		}
	}
}
