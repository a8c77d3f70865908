package finding_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/tooth"
)

// Words that the German texts must not say, as the English must not.
var ungesagt = regexp.MustCompile(`(?i)\b(bestanden|durchgefallen|fehlerhaft|unsicher|ungenügend|mangelhaft|genehmigt|erforderlich|Fehler)\b`)

// surfaces are all sides of a tooth.
var surfaces = []tooth.Surface{
	tooth.Mesial, tooth.Distal, tooth.Buccal, tooth.Lingual, tooth.Occlusal,
	tooth.Mesiobuccal, tooth.Distobuccal, tooth.Mesiolingual, tooth.Distolingual,
}

var filledIn = regexp.MustCompile(`\{[a-z]+\}`)

// TestGermanSaysWhatEnglishSays holds the second catalogue against the first: every text
// is there and fills in the same things, and every word has its own.
func TestGermanSaysWhatEnglishSays(t *testing.T) {
	en, de := finding.English(), finding.German()
	if lacks := de.Lacks(); len(lacks) > 0 {
		t.Errorf("German lacks %q", lacks)
	}
	for key, text := range de.Texts {
		english, ok := en.Texts[key]
		if !ok {
			t.Errorf("German has %q, which English lacks", key)
		}
		if a, b := fields(english), fields(text); !slices.Equal(a, b) {
			t.Errorf("%s fills in %v in English and %v in German", key, a, b)
		}
		if m := ungesagt.FindString(text); m != "" {
			t.Errorf("%s says %q: %s", key, m, text)
		}
		if (strings.HasSuffix(key, ".text") || strings.HasSuffix(key, ".advice")) && !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "{asks}") {
			t.Errorf("%s is no sentence: %s", key, text)
		}
	}
	for key := range en.Words {
		if de.Words[key] == "" {
			t.Errorf("the word %q has no German", key)
		}
	}
	for _, n := range []tooth.Number{16, 46, 11, 31} {
		for _, s := range surfaces {
			for _, w := range []string{s.Word(n), s.Spot(n)} {
				if de.Words[w] == "" {
					t.Errorf("%q has no German", w)
				}
			}
		}
	}
}

// fields lists what a text fills in, each once.
func fields(text string) []string {
	out := filledIn.FindAllString(text, -1)
	slices.Sort(out)
	return slices.Compact(out)
}

// TestJudgedInGerman reads one judgement in both languages: the same findings in the same
// order, with German numbers.
func TestJudgedInGerman(t *testing.T) {
	f := room(0.83, 0.10)
	en, de := finding.JudgeIn(f, limit.Default(), finding.English()), finding.JudgeIn(f, limit.Default(), finding.German())
	if len(en.Findings) == 0 || len(en.Findings) != len(de.Findings) {
		t.Fatalf("%d findings in English, %d in German", len(en.Findings), len(de.Findings))
	}
	for i := range en.Findings {
		if en.Findings[i].Code != de.Findings[i].Code || en.Findings[i].Text == de.Findings[i].Text {
			t.Errorf("finding %d: %q and %q", i, en.Findings[i].Text, de.Findings[i].Text)
		}
	}
	if want := "Zahnarzt holen: 0,8 ± 0,1 mm, Höcker palatinal"; de.Line != want {
		t.Errorf("line %q, want %q", de.Line, want)
	}
}
