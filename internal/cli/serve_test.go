package cli

import (
	"path/filepath"
	"strings"
	"testing"
)

func TestLoopbackOnly(t *testing.T) {
	for addr, ok := range map[string]bool{
		"127.0.0.1:7330": true, "localhost:0": true, "[::1]:7330": true, "127.8.8.8:1": true,
		"0.0.0.0:7330": false, ":7330": false, "192.0.2.7:80": false, "chair.example:80": false, "127.0.0.1": false,
	} {
		if err := loopback(addr); (err == nil) != ok {
			t.Errorf("%s: %v, want allowed %v", addr, err, ok)
		}
	}
}

func TestKeyApartFromData(t *testing.T) {
	dir := t.TempDir()
	for key, ok := range map[string]bool{
		filepath.Join(dir, "keys", "k"): true, filepath.Join(dir, "data-keys"): true,
		filepath.Join(dir, "data", "k"): false, filepath.Join(dir, "data", "a", "..", "k"): false,
	} {
		_, _, err := serveVerb{Data: filepath.Join(dir, "data"), Keys: key}.places()
		if (err == nil) != ok {
			t.Errorf("%s: %v, want allowed %v", key, err, ok)
		}
		if err != nil && !strings.Contains(err.Error(), "key") {
			t.Errorf("%s: %v does not speak of the key", key, err)
		}
	}
}
