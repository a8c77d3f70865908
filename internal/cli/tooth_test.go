package cli

import "testing"

func TestParseTooth(t *testing.T) {
	for _, tt := range []struct {
		system, code string
		want         int // 0: an error
	}{
		{"", "26", 26},
		{"fdi", "26", 26},
		{"", "UL6", 26},
		{"palmer", "LR1", 41},
		{"universal", "14", 26},
		{"Universal", "32", 48},
		{"", "19", 0},
		{"", "99", 0},
		{"", "", 0},
		{"", "UL9", 0},
		{"universal", "33", 0},
		{"roman", "26", 0},
	} {
		n, err := parseTooth(tt.system, tt.code)
		if (err == nil) != (tt.want != 0) || n.FDI() != tt.want {
			t.Errorf("parseTooth(%q, %q) = %v, %v, want %d", tt.system, tt.code, n, err, tt.want)
		}
	}
}
