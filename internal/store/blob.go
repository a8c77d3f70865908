package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
)

// Hash names a blob: the SHA-256 of its content in hexadecimal.
type Hash string

// Valid reports whether h can name a blob. Only a valid hash may become a path.
func (h Hash) Valid() bool {
	b, err := hex.DecodeString(string(h))
	return err == nil && len(b) == sha256.Size && hex.EncodeToString(b) == string(h)
}

// HashOf returns the hash of data.
func HashOf(data []byte) Hash {
	sum := sha256.Sum256(data)
	return Hash(hex.EncodeToString(sum[:]))
}

// Blobs keeps content by its hash. A blob is never altered; putting the same content
// twice keeps it once.
type Blobs interface {
	// Put keeps what r holds. When it returns nil, a blob survives a loss of power.
	Put(ctx context.Context, r io.Reader) (Hash, int64, error)
	// Get returns the content. The error is [ErrNoBlob] where there is none, and a
	// [*CorruptError] where it is not what was put.
	Get(ctx context.Context, h Hash) ([]byte, error)
	// Each calls f for every blob, in no order that may be relied on.
	Each(ctx context.Context, f func(Hash) error) error
	// Has reports whether there is a blob; it need not be sound.
	Has(ctx context.Context, h Hash) (bool, error)
	// Remove removes a blob for good; one that is not there is as good as removed.
	Remove(ctx context.Context, h Hash) error
}

// ErrNoBlob says that no blob has a hash.
var ErrNoBlob = errors.New("store: no such blob")

// CorruptError says that a blob cannot be given back as it was put.
type CorruptError struct {
	Hash Hash
	Kind CorruptKind
	What string
	Try  string
}

// CorruptKind is why a blob cannot be given back.
type CorruptKind string

// The kinds.
const (
	Damaged  CorruptKind = "damaged"
	OtherKey CorruptKind = "other-key" // it was stored with another key
)

// Error returns one line.
func (e *CorruptError) Error() string {
	short := string(e.Hash)
	if len(short) > 12 {
		short = short[:12]
	}
	return fmt.Sprintf("stored file %s: %s; %s", short, e.What, e.Try)
}
