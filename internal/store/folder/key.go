package folder

import (
	"crypto/hkdf"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"filippo.io/age"
)

// Key encrypts and decrypts the blobs of one installation.
type Key struct{ id *age.X25519Identity }

// LoadKey reads the key in a file, and makes one where there is no file and mayMake is
// set. The file is readable by its owner alone. Whoever loses it loses the blobs: it
// belongs into a back-up of its own, apart from theirs.
func LoadKey(path string, mayMake bool) (*Key, error) {
	data, err := os.ReadFile(path)
	switch {
	case err == nil:
		return parseKey(path, string(data))
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("key of the stored scans: %w", err)
	case !mayMake:
		return nil, fmt.Errorf("key of the stored scans: %s is missing; put it back from the back-up of the keys: without it the stored scans cannot be read", path)
	}
	id, err := age.GenerateX25519Identity()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("key of the stored scans: %w", err)
	}
	if err := WriteWhole(path, func(f *os.File) error {
		_, err := f.WriteString(id.String() + "\n")
		return err
	}); err != nil {
		return nil, fmt.Errorf("key of the stored scans: %w", err)
	}
	return &Key{id}, nil
}

func parseKey(path, text string) (*Key, error) {
	id, err := age.ParseX25519Identity(strings.TrimSpace(text))
	if err != nil {
		return nil, fmt.Errorf("key of the stored scans: %s holds no key (%w); put it back from the back-up of the keys", path, err)
	}
	return &Key{id}, nil
}

// Derive returns 32 secret bytes for a purpose, always the same for one key: whoever
// has the data without the key cannot make them.
func (k *Key) Derive(purpose string) ([]byte, error) {
	return hkdf.Key(sha256.New, []byte(k.id.String()), nil, "selvage "+purpose, sha256.Size)
}
