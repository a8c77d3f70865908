package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"selvage/internal/store"
)

// Blobs is a folder of blobs.
type Blobs struct {
	dir string
	key *Key
}

var _ store.Blobs = (*Blobs)(nil)

// Open returns the blobs in dir, which is made where it is not there. What a crash left
// unfinished is removed.
func Open(dir string, key *Key) (*Blobs, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("folder of stored scans: %w", err)
	}
	left, err := filepath.Glob(filepath.Join(dir, "unfinished-*"))
	if err != nil {
		return nil, err
	}
	taken, err := filepath.Glob(filepath.Join(dir, "??", "unfinished-*")) // by [Blobs.Take]
	if err != nil {
		return nil, err
	}
	for _, path := range append(left, taken...) {
		if err := os.Remove(path); err != nil {
			return nil, fmt.Errorf("folder of stored scans: %w", err)
		}
	}
	return &Blobs{dir: dir, key: key}, nil
}

func (b *Blobs) path(h store.Hash) string {
	return filepath.Join(b.dir, string(h[:2]), string(h))
}

// Put keeps what r holds.
func (b *Blobs) Put(ctx context.Context, r io.Reader) (_ store.Hash, n int64, err error) {
	f, err := os.CreateTemp(b.dir, "unfinished-")
	if err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	defer func() {
		if rerr := os.Remove(f.Name()); rerr != nil && !errors.Is(rerr, fs.ErrNotExist) {
			err = errors.Join(err, rerr)
		}
	}()
	h, n, err := b.key.Seal(ctx, f, r)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	path := b.path(h)
	dir := filepath.Dir(path)
	if _, err := os.Stat(path); err == nil {
		// The same content is there already. WHY flush: whoever put it may not have yet.
		if err := errors.Join(flushDir(dir), flushDir(b.dir)); err != nil {
			return "", 0, fmt.Errorf("storing a file: %w", err)
		}
		return h, n, nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	if err := errors.Join(flushDir(dir), flushDir(b.dir)); err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	return h, n, nil
}

// Get returns the content of a blob.
func (b *Blobs) Get(_ context.Context, h store.Hash) ([]byte, error) {
	if !h.Valid() {
		return nil, store.ErrNoBlob
	}
	f, err := os.Open(b.path(h))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, store.ErrNoBlob
	}
	if err != nil {
		return nil, fmt.Errorf("stored file: %w", err)
	}
	defer f.Close()
	var size int64
	if info, err := f.Stat(); err == nil {
		size = info.Size()
	}
	return b.key.Open(h, f, size)
}

func damaged(h store.Hash, err error) error {
	return &store.CorruptError{Hash: h, Kind: store.Damaged, What: "it is damaged on the disk (" + err.Error() + ")", Try: "restore it from the back-up, and have the disk looked at"}
}

// Has reports whether there is a blob.
func (b *Blobs) Has(_ context.Context, h store.Hash) (bool, error) {
	_, err := b.Size(h)
	if errors.Is(err, store.ErrNoBlob) {
		return false, nil
	}
	return err == nil, err
}

// Remove removes a blob.
func (b *Blobs) Remove(_ context.Context, h store.Hash) error {
	if !h.Valid() {
		return nil
	}
	path := b.path(h)
	if err := os.Remove(path); errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return fmt.Errorf("removing a stored file: %w", err)
	}
	if err := flushDir(filepath.Dir(path)); err != nil {
		return fmt.Errorf("removing a stored file: %w", err)
	}
	return nil
}

// Each calls f for every blob.
func (b *Blobs) Each(ctx context.Context, f func(store.Hash) error) error {
	paths, err := filepath.Glob(filepath.Join(b.dir, "??", "*"))
	if err != nil {
		return err
	}
	for _, p := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		if h := store.Hash(filepath.Base(p)); h.Valid() {
			if err := f(h); err != nil {
				return err
			}
		}
	}
	return nil
}
