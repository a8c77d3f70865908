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
	"selvage/phantom"
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
		if m.Tooth != r.tooth || m.Line["de"] == "" || m.RoomMM <= 0 {
			t.Errorf("%s: tooth %v, %q, room %g", r.key, m.Tooth, m.Line["de"], m.RoomMM)
		}
		t.Logf("%s: there %v; said %v", r.key, m.Truth, m.Program)
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

// TestWhatNoSideShows: a mouth with a fault that has no side is none to train on, nor is one
// that does not allow the recipe's fault: the next one is made.
func TestWhatNoSideShows(t *testing.T) {
	at := phantom.Point{1, 2, 3}
	truths := [][]phantom.Finding{
		{{Code: "margin-not-captured", Level: "flag", At: &at}, {Code: "sampling-coarse", Level: "flag"}},
		nil, // the fault cannot be made
		{{Code: "margin-not-captured", Level: "flag", At: &at}, {Code: "sampling-coarse", Level: "advise"}},
	}
	made := 0
	from := func(s phantom.Spec) (phantom.Case, error) {
		found := truths[(s.Seed-11)%uint64(len(truths))]
		if made++; found == nil {
			return phantom.Case{}, &phantom.FaultError{}
		}
		return phantom.Case{Truth: phantom.Truth{Seed: s.Seed, Findings: found, Restorations: make([]phantom.Restoration, 1)}}, nil
	}
	c, err := recipes[0].mouth(11, from)
	if err != nil || c.Truth.Seed != 13 || made != 3 {
		t.Errorf("mouth %d after %d, %v; want mouth 13, the third", c.Truth.Seed, made, err)
	}
	truths = truths[:2]
	if _, err := recipes[0].mouth(11, from); err == nil {
		t.Error("every mouth is one that no side shows, and one was taken")
	}
}

// TestMouthsShowTheirFaults makes the mouth whose margin the usual spacing samples too
// coarsely, at the first try.
func TestMouthsShowTheirFaults(t *testing.T) {
	c, err := phantom.Make(recipes[0].spec(11))
	if err != nil {
		t.Fatal(err)
	}
	r := c.Truth.Restorations[0]
	if there, nowhere := truth(c.Truth, frameOf(r)); len(there) == 0 || len(nowhere) > 0 {
		t.Errorf("there %v, with no side %v; the margin is sampled every %.3f mm", there, nowhere, r.Margin.SpacingMm)
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
