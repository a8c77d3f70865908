package obj_test

import (
	"testing"

	"selvage/meshio/obj"
)

func TestIs(t *testing.T) {
	for text, want := range map[string]bool{
		"v 1 2 3":             true,
		"# teeth\n\nv 1 2 3":  true,
		"f 1/2/3 2/2/2 3/1/1": true,
		"f\t-1\t-2\t-3":       true,
		"v \\\n1 2 3":         true,
		"o tooth\nv\n":        false,
		"v one\nf two\n":      false,
		"value 1\nfull 2\n":   false,
		"#v 1 2 3\n":          false,
		"":                    false,
	} {
		if got := obj.Is([]byte(text)); got != want {
			t.Errorf("Is(%q) = %v, want %v", text, got, want)
		}
	}
}
