package s3

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"selvage/internal/store"
	"selvage/internal/store/folder"
)

// Place says where the bucket is and who asks.
type Place struct {
	Endpoint string // host:port
	Bucket   string // must be there
	Prefix   string // of the objects' names; may be empty
	Region   string // empty: asked of the store
	Access   string
	Secret   string
	Plain    bool // without TLS: for a store on this computer only
}

// Blobs is a bucket of blobs.
type Blobs struct {
	client *minio.Client
	place  Place
	key    *folder.Key
}

var _ store.Blobs = (*Blobs)(nil)

// retries is how often one request is tried: somebody waits at the chair.
const retries = 3

// Open returns the blobs in a bucket, which must be there.
func Open(ctx context.Context, p Place, key *folder.Key) (*Blobs, error) {
	client, err := minio.New(p.Endpoint, &minio.Options{
		Creds: credentials.NewStaticV4(p.Access, p.Secret, ""), Secure: !p.Plain, Region: p.Region, MaxRetries: retries,
	})
	if err != nil {
		return nil, fmt.Errorf("store of scans at %s: %w", p.Endpoint, err)
	}
	there, err := client.BucketExists(ctx, p.Bucket)
	if err != nil {
		return nil, fmt.Errorf("store of scans at %s: %w", p.Endpoint, err)
	}
	if !there {
		return nil, fmt.Errorf("store of scans at %s: there is no bucket %q; make it, or name another", p.Endpoint, p.Bucket)
	}
	return &Blobs{client: client, place: p, key: key}, nil
}

// name is the name of a blob's object.
func (b *Blobs) name(h store.Hash) string {
	return path.Join(b.place.Prefix, string(h[:2]), string(h))
}

// Put keeps what r holds. It is sealed into a file of this computer first, since its hash
// names the object and is known at its end.
func (b *Blobs) Put(ctx context.Context, r io.Reader) (_ store.Hash, n int64, err error) {
	f, err := os.CreateTemp("", "selvage-sealed-")
	if err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close(), os.Remove(f.Name())) }()
	h, n, err := b.key.Seal(ctx, f, r)
	if err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	switch _, err := b.client.StatObject(ctx, b.place.Bucket, b.name(h), minio.StatObjectOptions{}); {
	case err == nil:
		return h, n, nil // the same content is there already
	case !missing(err):
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	size, err := f.Seek(0, io.SeekCurrent)
	if err != nil {
		return "", 0, err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return "", 0, err
	}
	_, err = b.client.PutObject(ctx, b.place.Bucket, b.name(h), f, size, minio.PutObjectOptions{ContentType: "application/octet-stream"})
	if err != nil {
		return "", 0, fmt.Errorf("storing a file: %w", err)
	}
	return h, n, nil
}

// Get returns the content of a blob.
func (b *Blobs) Get(ctx context.Context, h store.Hash) (data []byte, err error) {
	if !h.Valid() {
		return nil, store.ErrNoBlob
	}
	o, err := b.client.GetObject(ctx, b.place.Bucket, b.name(h), minio.GetObjectOptions{})
	if err != nil {
		return nil, fmt.Errorf("stored file: %w", err)
	}
	defer func() { err = errors.Join(err, o.Close()) }()
	info, err := o.Stat()
	if missing(err) {
		return nil, store.ErrNoBlob
	}
	if err != nil {
		return nil, fmt.Errorf("stored file: %w", err)
	}
	sealed := &source{r: o}
	data, err = b.key.Open(h, sealed, info.Size)
	if sealed.err != nil { // the network failed, and the file may be sound
		return nil, fmt.Errorf("stored file: %w", sealed.err)
	}
	return data, err
}

// Sealed opens the object of a blob.
func (b *Blobs) Sealed(ctx context.Context, h store.Hash) (io.ReadCloser, error) {
	if !h.Valid() {
		return nil, store.ErrNoBlob
	}
	o, err := b.client.GetObject(ctx, b.place.Bucket, b.name(h), minio.GetObjectOptions{})
	if err != nil {
		return nil, fmt.Errorf("stored file: %w", err)
	}
	if _, err := o.Stat(); err != nil {
		err = errors.Join(err, o.Close())
		if missing(err) {
			return nil, store.ErrNoBlob
		}
		return nil, fmt.Errorf("stored file: %w", err)
	}
	return o, nil
}

// Take copies a blob from another keeper as it is kept there, without sealing it anew,
// and proves on the way that it opens to what its hash says.
func (b *Blobs) Take(ctx context.Context, from folder.Sealer, h store.Hash) (err error) {
	f, err := os.CreateTemp("", "selvage-sealed-")
	if err != nil {
		return fmt.Errorf("storing a file: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close(), os.Remove(f.Name())) }()
	s, err := b.key.Copy(ctx, from, h, f)
	if err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if _, err = b.client.PutObject(ctx, b.place.Bucket, b.name(h), f, s.Size, minio.PutObjectOptions{ContentType: "application/octet-stream"}); err != nil {
		return fmt.Errorf("storing a file: %w", err)
	}
	return nil
}

// source remembers why reading failed.
type source struct {
	r   io.Reader
	err error
}

func (s *source) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		s.err = err
	}
	return n, err
}

// Has reports whether there is a blob.
func (b *Blobs) Has(ctx context.Context, h store.Hash) (bool, error) {
	if !h.Valid() {
		return false, nil
	}
	_, err := b.client.StatObject(ctx, b.place.Bucket, b.name(h), minio.StatObjectOptions{})
	switch {
	case missing(err):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("stored file: %w", err)
	}
	return true, nil
}

// Remove removes a blob.
func (b *Blobs) Remove(ctx context.Context, h store.Hash) error {
	if !h.Valid() {
		return nil
	}
	err := b.client.RemoveObject(ctx, b.place.Bucket, b.name(h), minio.RemoveObjectOptions{})
	if err != nil && !missing(err) {
		return fmt.Errorf("removing a stored file: %w", err)
	}
	return nil
}

// Each calls f for every blob.
func (b *Blobs) Each(ctx context.Context, f func(store.Hash) error) error {
	prefix := b.place.Prefix
	if prefix != "" {
		prefix = strings.TrimSuffix(prefix, "/") + "/"
	}
	ctx, cancel := context.WithCancel(ctx) // ends the listing where f fails
	defer cancel()
	for o := range b.client.ListObjectsIter(ctx, b.place.Bucket, minio.ListObjectsOptions{Prefix: prefix, Recursive: true}) {
		if o.Err != nil {
			return fmt.Errorf("stored files: %w", o.Err)
		}
		if h := store.Hash(path.Base(o.Key)); h.Valid() && o.Key == b.name(h) {
			if err := f(h); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// missing reports whether err says that there is no such object.
func missing(err error) bool {
	var e minio.ErrorResponse
	return errors.As(err, &e) && e.Code == minio.NoSuchKey
}
