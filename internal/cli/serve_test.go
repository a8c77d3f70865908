package cli

import (
	"path/filepath"
	"strings"
	"testing"

	"selvage/internal/home"
)

func TestKeyApartFromData(t *testing.T) {
	dir := t.TempDir()
	for key, ok := range map[string]bool{
		filepath.Join(dir, "keys", "k"): true, filepath.Join(dir, "data-keys"): true,
		filepath.Join(dir, "data", "k"): false, filepath.Join(dir, "data", "a", "..", "k"): false,
	} {
		_, _, err := home.Place{Data: filepath.Join(dir, "data"), Keys: key}.Places()
		if (err == nil) != ok {
			t.Errorf("%s: %v, want allowed %v", key, err, ok)
		}
		if err != nil && !strings.Contains(err.Error(), "key") {
			t.Errorf("%s: %v does not speak of the key", key, err)
		}
	}
}
