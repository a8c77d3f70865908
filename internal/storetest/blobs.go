package storetest

import (
	"bytes"
	"context"
	"errors"
	"sync"
	"testing"

	"selvage/internal/store"
)

// Blobs runs the suite on an empty keeper of blobs.
func Blobs(t *testing.T, b store.Blobs) {
	ctx := context.Background()
	big := bytes.Repeat([]byte("surface "), 1<<19) // 4 MiB
	for _, data := range [][]byte{nil, []byte("x"), big} {
		for range 2 { // the second time it is there already
			h, n, err := b.Put(ctx, bytes.NewReader(data))
			if err != nil || n != int64(len(data)) || h != store.HashOf(data) {
				t.Fatalf("put %d bytes: %s, %d, %v", len(data), h, n, err)
			}
		}
		got, err := b.Get(ctx, store.HashOf(data))
		if err != nil || !bytes.Equal(got, data) {
			t.Errorf("get %d bytes: %d, %v", len(data), len(got), err)
		}
	}
	for _, h := range []store.Hash{store.HashOf([]byte("never put")), "", "../../etc/passwd", "zz"} {
		if _, err := b.Get(ctx, h); !errors.Is(err, store.ErrNoBlob) {
			t.Errorf("get %q: %v, want ErrNoBlob", h, err)
		}
	}
	for _, h := range []store.Hash{store.HashOf(big), store.HashOf([]byte("never put")), "", "../../etc/passwd"} {
		if yes, err := b.Has(ctx, h); err != nil || yes != (h == store.HashOf(big)) {
			t.Errorf("%q is there: %v, %v", h, yes, err)
		}
	}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if _, _, err := b.Put(ctx, bytes.NewReader([]byte("the same from everywhere"))); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	n := 0
	if err := b.Each(ctx, func(store.Hash) error { n++; return nil }); err != nil || n != 4 {
		t.Errorf("%d blobs, %v; want 4", n, err)
	}
	for range 2 { // the second time it is gone already
		if err := b.Remove(ctx, store.HashOf(big)); err != nil {
			t.Errorf("remove: %v", err)
		}
	}
	if _, err := b.Get(ctx, store.HashOf(big)); !errors.Is(err, store.ErrNoBlob) {
		t.Errorf("what was removed is there: %v", err)
	}
	if yes, err := b.Has(ctx, store.HashOf(big)); err != nil || yes {
		t.Errorf("what was removed is there: %v, %v", yes, err)
	}
	if _, _, err := b.Put(ctx, bytes.NewReader(big)); err != nil {
		t.Errorf("put again what was removed: %v", err)
	}
	if err := b.Remove(ctx, "../../etc/passwd"); err != nil {
		t.Errorf("remove what is no hash: %v", err)
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if _, _, err := b.Put(gone, bytes.NewReader([]byte("too late"))); !errors.Is(err, context.Canceled) {
		t.Errorf("put after the end: %v, want the context's error", err)
	}
	if _, err := b.Get(ctx, store.HashOf([]byte("too late"))); !errors.Is(err, store.ErrNoBlob) {
		t.Errorf("what was cancelled is there: %v", err)
	}
}
