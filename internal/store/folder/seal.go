package folder

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"sync"

	"filippo.io/age"

	"selvage/internal/store"
)

// Seal encrypts r into w and returns the hash and size of what it read. It stops when ctx
// does.
func (k *Key) Seal(ctx context.Context, w io.Writer, r io.Reader) (store.Hash, int64, error) {
	sealed, err := age.Encrypt(w, k.id.Recipient())
	if err != nil {
		return "", 0, err
	}
	sum := sha256.New()
	n, err := both(sealed, sum, reader{ctx, r})
	if err := errors.Join(err, sealed.Close()); err != nil {
		return "", 0, err
	}
	return store.Hash(hex.EncodeToString(sum.Sum(nil))), n, nil
}

// piece is how much is sealed and hashed at a time: so much that starting both is nothing.
const piece = 1 << 18

// both writes what r holds to w and to sum at the same time, and returns how much it was.
func both(w io.Writer, sum hash.Hash, r io.Reader) (n int64, err error) {
	buf := make([]byte, piece)
	var hashed sync.WaitGroup
	for {
		m, rerr := fill(r, buf)
		hashed.Go(func() { _, _ = sum.Write(buf[:m]) }) // a hash takes all
		_, werr := w.Write(buf[:m])
		hashed.Wait()
		n += int64(m)
		switch {
		case werr != nil:
			return n, werr
		case errors.Is(rerr, io.EOF):
			return n, nil
		case rerr != nil:
			return n, rerr
		}
	}
}

// fill reads until buf is full or there is an error. WHY not io.ReadFull: it calls the end of
// what was read and an upload that was cut off by the same name.
func fill(r io.Reader, buf []byte) (n int, err error) {
	for n < len(buf) && err == nil {
		var m int
		m, err = r.Read(buf[n:])
		n += m
	}
	return n, err
}

// Open decrypts the blob h. size is about how large it is; 0 where that is not known. The
// error is a [*store.CorruptError] where it is not what was sealed, or with another key.
func (k *Key) Open(h store.Hash, r io.Reader, size int64) ([]byte, error) {
	plain, err := age.Decrypt(r, k.id)
	var wrong *age.NoIdentityMatchError
	if errors.As(err, &wrong) {
		return nil, otherKey(h)
	}
	if err != nil {
		return nil, damaged(h, err)
	}
	var buf bytes.Buffer
	buf.Grow(int(size))
	if _, err := buf.ReadFrom(plain); err != nil {
		return nil, damaged(h, err)
	}
	if store.HashOf(buf.Bytes()) != h {
		return nil, damaged(h, errors.New("another content"))
	}
	return buf.Bytes(), nil
}

// reader stops when its context does.
type reader struct {
	ctx context.Context
	r   io.Reader
}

func (r reader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.r.Read(p)
}
