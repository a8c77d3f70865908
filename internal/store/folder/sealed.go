package folder

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"filippo.io/age"

	"selvage/internal/store"
)

// View returns the blobs in a folder that another program may be writing, or that cannot
// be written: nothing is made, and nothing of what a crash left is removed.
func View(dir string, key *Key) *Blobs { return &Blobs{dir: dir, key: key} }

// ID names a key without giving it away.
func (k *Key) ID() string {
	sum := sha256.Sum256([]byte(k.id.Recipient().String()))
	return hex.EncodeToString(sum[:8])
}

// Sealer gives blobs as they are kept, encrypted.
type Sealer interface {
	// Sealed opens what is kept of a blob. The error is [store.ErrNoBlob] where there is
	// none.
	Sealed(ctx context.Context, h store.Hash) (io.ReadCloser, error)
}

// Sealed is a blob as it lies on the disk, encrypted.
type Sealed struct {
	Size int64  // bytes
	Sum  string // their SHA-256, hexadecimal
}

// Size returns how large the file of a blob is. The error is [store.ErrNoBlob] where there
// is none.
func (b *Blobs) Size(h store.Hash) (int64, error) {
	if !h.Valid() {
		return 0, store.ErrNoBlob
	}
	info, err := os.Stat(b.path(h))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, store.ErrNoBlob
	}
	if err != nil {
		return 0, fmt.Errorf("stored file: %w", err)
	}
	return info.Size(), nil
}

// Prove reads a blob as [Blobs.Get] does, without keeping it, and describes its file.
func (b *Blobs) Prove(ctx context.Context, h store.Hash) (Sealed, error) {
	return b.key.Copy(ctx, b, h, io.Discard)
}

// Take copies a blob from another folder as it lies there, without sealing it anew, and
// proves on the way that it opens to what its hash says. When it returns nil, the copy
// survives a loss of power. A copy that is there already is replaced.
func (b *Blobs) Take(ctx context.Context, from Sealer, h store.Hash) (s Sealed, err error) {
	if !h.Valid() {
		return s, store.ErrNoBlob
	}
	path := b.path(h)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return s, fmt.Errorf("storing a file: %w", err)
	}
	err = WriteWhole(path, func(f *os.File) error {
		s, err = b.key.Copy(ctx, from, h, f)
		return err
	})
	if err != nil {
		return Sealed{}, err
	}
	return s, flushDir(b.dir)
}

// Sealed opens the file of a blob.
func (b *Blobs) Sealed(_ context.Context, h store.Hash) (io.ReadCloser, error) {
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
	return f, nil
}

// Copy writes a blob as it is kept to w, and proves on the way that it opens with the key
// to what its hash says.
func (k *Key) Copy(ctx context.Context, from Sealer, h store.Hash, w io.Writer) (Sealed, error) {
	f, err := from.Sealed(ctx, h)
	if err != nil {
		return Sealed{}, err
	}
	defer f.Close()
	c := &copied{w: w, sum: sha256.New()}
	plain, err := age.Decrypt(io.TeeReader(reader{ctx, f}, c), k.id)
	content := sha256.New()
	if err == nil {
		_, err = io.Copy(content, plain)
	}
	var wrong *age.NoIdentityMatchError
	switch {
	case c.err != nil:
		return Sealed{}, fmt.Errorf("storing a file: %w", c.err)
	case ctx.Err() != nil:
		return Sealed{}, ctx.Err()
	case errors.As(err, &wrong):
		return Sealed{}, otherKey(h)
	case err != nil:
		return Sealed{}, damaged(h, err)
	case hex.EncodeToString(content.Sum(nil)) != string(h):
		return Sealed{}, damaged(h, errors.New("another content"))
	}
	return Sealed{Size: c.n, Sum: hex.EncodeToString(c.sum.Sum(nil))}, nil
}

// copied counts and hashes what is written, and remembers why writing failed: the reader
// that it hangs on would report that as its own failure.
type copied struct {
	w   io.Writer
	sum hash.Hash
	n   int64
	err error
}

func (c *copied) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.sum.Write(p[:n])
	c.n += int64(n)
	c.err = err
	return n, err
}

func otherKey(h store.Hash) error {
	return &store.CorruptError{Hash: h, Kind: store.OtherKey, What: "it was stored with another key", Try: "put the right key back from the back-up of the keys"}
}

// Save writes the key into a file that its owner alone may read.
func (k *Key) Save(path string) error {
	return WriteWhole(path, func(f *os.File) error {
		_, err := f.WriteString(k.id.String() + "\n")
		return err
	})
}
