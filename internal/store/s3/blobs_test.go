package s3_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/s3"
	"selvage/internal/storetest"
)

// server starts an object store and returns where it is, and the folder with its objects.
func server(t *testing.T) (p s3.Place, dir string) {
	t.Helper()
	o := storetest.StartObjects(t)
	return s3.Place{Endpoint: o.Endpoint, Bucket: o.Bucket, Prefix: "here", Region: o.Region, Access: o.Access, Secret: o.Secret, Plain: true}, o.Dir
}

func ok(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func newKey(t *testing.T) *folder.Key {
	t.Helper()
	key, err := folder.LoadKey(filepath.Join(t.TempDir(), "key"), true)
	ok(t, err)
	return key
}

func TestBlobs(t *testing.T) {
	ctx := context.Background()
	p, dir := server(t)
	b, err := s3.Open(ctx, p, newKey(t))
	ok(t, err)
	t.Run("the suite", func(t *testing.T) { storetest.Blobs(t, b) })
	t.Run("sealed", func(t *testing.T) {
		h, _, err := b.Put(ctx, strings.NewReader("solid of a real mouth"))
		ok(t, err)
		raw, err := os.ReadFile(filepath.Join(dir, "scans", "here", string(h[:2]), string(h)))
		if err != nil || bytes.Contains(raw, []byte("real mouth")) {
			t.Errorf("the object holds its content in the clear, or is not there: %v", err)
		}
	})
	t.Run("many in parts", func(t *testing.T) {
		big := bytes.Repeat([]byte("forty megabytes of scan "), 40<<20/24)
		h, _, err := b.Put(ctx, bytes.NewReader(big))
		ok(t, err)
		if got, err := b.Get(ctx, h); err != nil || !bytes.Equal(got, big) {
			t.Errorf("a large blob came back as %d bytes, %v", len(got), err)
		}
	})
	t.Run("another key, and damage", func(t *testing.T) {
		h, _, err := b.Put(ctx, strings.NewReader("mine"))
		ok(t, err)
		other, err := s3.Open(ctx, p, newKey(t))
		ok(t, err)
		_, err = other.Get(ctx, h)
		wantCorrupt(t, err, "another key")
		client, err := minio.New(p.Endpoint, &minio.Options{Creds: credentials.NewStaticV4(p.Access, p.Secret, ""), Region: p.Region})
		ok(t, err)
		_, err = client.PutObject(ctx, p.Bucket, fmt.Sprintf("here/%s/%s", h[:2], h), strings.NewReader("forged"), 6, minio.PutObjectOptions{})
		ok(t, err)
		_, err = b.Get(ctx, h)
		wantCorrupt(t, err, "damaged")
	})
	t.Run("another prefix is another keeper", func(t *testing.T) {
		q := p
		q.Prefix = "there"
		c, err := s3.Open(ctx, q, newKey(t))
		ok(t, err)
		ok(t, c.Each(ctx, func(h store.Hash) error { return fmt.Errorf("it lists %s", h) }))
	})
	t.Run("refused", func(t *testing.T) {
		q := p
		q.Bucket = "nowhere"
		if _, err := s3.Open(ctx, q, newKey(t)); err == nil || !strings.Contains(err.Error(), `no bucket "nowhere"`) {
			t.Errorf("a bucket that is not there: %v", err)
		}
		q = p
		q.Secret = "wrong"
		if _, err := s3.Open(ctx, q, newKey(t)); err == nil {
			t.Error("a wrong secret was taken")
		}
	})
}

func wantCorrupt(t *testing.T, err error, words string) {
	t.Helper()
	var c *store.CorruptError
	if !errors.As(err, &c) || !strings.Contains(err.Error(), words) {
		t.Errorf("%v, want a CorruptError with %q", err, words)
	}
}
