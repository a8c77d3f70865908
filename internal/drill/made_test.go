package drill

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"selvage/finding"
)

// TestMadeKnowsWhatIsThere makes a case with two faults: the truth names both, at places
// that can be looked at, and every place has its pictures, marked ones only where something
// is. With SELVAGE_SHOTS set, every recipe is made and its pictures are written there.
func TestMadeKnowsWhatIsThere(t *testing.T) {
	dir := os.Getenv("SELVAGE_SHOTS")
	for _, r := range recipes {
		if dir == "" && r.key != "margin-and-room" {
			continue
		}
		m, err := Make(context.Background(), r.key, 11)
		if err != nil {
			t.Errorf("%s: %v", r.key, err)
			continue
		}
		var there []string
		for _, s := range m.Truth {
			there = append(there, string(s.Code))
		}
		for _, f := range r.faults {
			if !slices.Contains(there, f) {
				t.Errorf("%s: %s is not among what is there: %v", r.key, f, there)
			}
		}
		if len(r.faults) == 0 && len(m.Truth) > 0 {
			t.Errorf("%s is sound, and holds %v", r.key, there)
		}
		if m.Tooth == "" || m.Line["de"] == "" || m.RoomMM <= 0 {
			t.Errorf("%s: tooth %q, %q, room %g", r.key, m.Tooth, m.Line["de"], m.RoomMM)
		}
		t.Logf("%s: there %v; said %v; other %v", r.key, m.Truth, m.Program, m.Other)
		for _, p := range Places() {
			if m.Pictures(p) == 0 {
				t.Errorf("%s: no picture of %s", r.key, p)
			}
			marked := slices.ContainsFunc(m.Truth, func(s Spot) bool { return s.Place == p })
			for n := range m.Pictures(p) {
				plain, _ := m.Picture(p, n, false)
				told, _ := m.Picture(p, n, true)
				if _, err := png.Decode(bytes.NewReader(plain)); err != nil {
					t.Errorf("%s, %s: %v", r.key, p, err)
				}
				if bytes.Equal(plain, told) == marked {
					t.Errorf("%s, %s: something is there: %v; the marked picture is another: %v", r.key, p, marked, !marked)
				}
				if dir != "" {
					_ = os.WriteFile(filepath.Join(dir, fmt.Sprintf("drill-%s-%s-%d.png", r.key, p, n)), told, 0o600)
				}
			}
		}
		if _, ok := m.Picture(Bite, 9, false); ok {
			t.Error("there is a tenth picture")
		}
	}
}

func TestUnknownRecipe(t *testing.T) {
	if _, err := Make(context.Background(), "gold", 1); err == nil {
		t.Error("there is no such recipe, and it was made")
	}
}

// TestExpected: the bur comes before the scanner.
func TestExpected(t *testing.T) {
	spots := []Spot{{Place: Mesial, Do: Scan}, {Place: Bite, Do: Ask}, {Place: Mesial, Do: Ask, Code: finding.Undercut}, {Place: Buccal, Do: Scan}}
	for p, want := range map[Place]Answer{Mesial: Ask, Bite: Ask, Buccal: Scan, Distal: Nothing} {
		if got := Expected(spots, p); got != want {
			t.Errorf("%s: %s, want %s", p, got, want)
		}
	}
}
