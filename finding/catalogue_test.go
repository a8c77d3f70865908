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

// Words that a measuring program must not say of a tooth or a scan: it measures
// the file, and the dentist decides.
var unsaid = regexp.MustCompile(`(?i)\b(pass(es|ed)?|fail(s|ed|ure)?|safe|unsafe|defective|approved|OK|insufficient|required|must be|re-prepare|error)\b`)

func TestTextsSayNothingTheyShouldNot(t *testing.T) {
	c := finding.English()
	for key, text := range c.Texts {
		if m := unsaid.FindString(text); m != "" {
			t.Errorf("%s says %q: %s", key, m, text)
		}
		if strings.HasSuffix(key, ".text") || strings.HasSuffix(key, ".advice") {
			if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "{asks}") {
				t.Errorf("%s is no sentence: %s", key, text)
			}
			for _, s := range strings.Split(text, ". ") {
				if n := len(strings.Fields(s)); n > 24 {
					t.Errorf("%s has a sentence of %d words: %s", key, n, s)
				}
			}
		}
		if base, isText := strings.CutSuffix(key, ".text"); isText && c.Texts[base+".advice"] == "" {
			t.Errorf("%s has no advice", base)
		}
	}
}

func TestEveryCodeHasWords(t *testing.T) {
	c := finding.English()
	for _, code := range finding.Codes() {
		found := false
		for key := range c.Texts {
			found = found || strings.HasPrefix(key, string(code)+".") && strings.HasSuffix(key, ".text")
		}
		if !found {
			t.Errorf("%s has no text", code)
		}
	}
	for _, m := range limit.Materials() {
		if c.Words[string(m)] == "" {
			t.Errorf("%s has no word", m)
		}
	}
	for _, r := range finding.Roles() {
		if c.Words["role."+string(r)] == "" {
			t.Errorf("the role %s has no word", r)
		}
	}
	for _, name := range finding.Needed(finding.Final) {
		if c.Words["measure."+name] == "" {
			t.Errorf("the measure %s has no word", name)
		}
	}
}

// A second language is a second catalogue: nothing is said in the first one, and
// what is wanting is listed.
func TestSecondLanguage(t *testing.T) {
	c := finding.Catalogue{
		Language: "de", Decimal: ",",
		Texts: map[string]string{
			"line.ask-dentist":           "Zahnarzt holen: {spot}",
			"clearance-low.spot":         "{value}, {spot}",
			"place.zone.functional":      "{surface}er Höcker",
			"clearance-low.text":         "Am wenigsten Platz: {value}. {asks}",
			"limit.asks.below":           "Ihre Tabelle verlangt {limit}.",
			"clearance-low.reduced.text": "Am wenigsten Platz: {value}. {asks}",
		},
		Words: map[string]string{"palatal": "palatinal"},
	}
	j := finding.JudgeIn(room(0.83, 0.10), limit.Default(), c)
	if want := "Zahnarzt holen: 0,8 ± 0,1 mm, palatinaler Höcker"; j.Line != want {
		t.Errorf("line %q, want %q", j.Line, want)
	}
	if want := "Am wenigsten Platz: 0,8 ± 0,1 mm. Ihre Tabelle verlangt 1,05 mm."; j.Findings[0].Text != want {
		t.Errorf("text %q, want %q", j.Findings[0].Text, want)
	}
	lacks := c.Lacks()
	if !slices.Contains(lacks, "line.clear") || slices.Contains(lacks, "clearance-low.text") || !slices.IsSorted(lacks) {
		t.Errorf("Lacks = %q", lacks)
	}
	if l := finding.English().Lacks(); len(l) != 0 {
		t.Errorf("English lacks %q", l)
	}
}

func TestTeethInTheUsersNumbers(t *testing.T) {
	for _, c := range []struct {
		system tooth.System
		want   string
	}{
		{"", "The scan shows a preparation at the upper left second molar."},
		{tooth.FDI, "The scan shows a preparation at tooth 27."},
		{tooth.Universal, "The scan shows a preparation at tooth 15."},
		{tooth.Palmer, "The scan shows a preparation at UL7."},
	} {
		words := finding.English()
		words.Numbers = c.system
		j := finding.JudgeIn(with(func(r *R) { r.Found.Tooth = 27 }), limit.Default(), words)
		if !contains(j.Findings[0].Text, c.want) {
			t.Errorf("%s: %q, want %q in it", c.system, j.Findings[0].Text, c.want)
		}
	}
}

func TestCodesAndActions(t *testing.T) {
	if _, ok := finding.Code("no-such-code").Usual(); ok {
		t.Error("an unknown code has a usual action")
	}
	seen := map[finding.Code]bool{}
	for _, c := range finding.Codes() {
		a, ok := c.Usual()
		if !ok || !slices.Contains(finding.Actions(), a) || seen[c] {
			t.Errorf("%s: %s, %v, twice %v", c, a, ok, seen[c])
		}
		seen[c] = true
	}
	// The first set of the contract, by usual action.
	for action, list := range map[finding.Action]string{
		finding.CheckFiles: "file-unreadable scan-mirrored wrong-arch tooth-not-found tooth-differs other-mouth scan-outdated",
		finding.ScanAgain:  "scan-missing arch-too-short surface-missing contact-area-missing margin-not-captured surface-doubled surface-invented bite-differs bite-penetrates bite-open sampling-coarse",
		finding.OpenMargin: "margin-unclear margin-two-lines",
		finding.AskDentist: "undercut path-blocked reduction-low clearance-low finish-line-narrow neighbour-contour neighbour-damaged gap-narrow resistance-low",
		finding.Note:       "convergence-high convergence-low walls-short finish-line-differs sharp-edge margin-rough root-not-seen sulcus-narrow contrast-colour surface-noisy fragments bite-unsupported clearance-in-movement units-unlikely limits-edited",
		finding.FillIn:     "prescription-incomplete date-impossible",
	} {
		for _, c := range strings.Fields(list) {
			if a, ok := finding.Code(c).Usual(); !ok || a != action {
				t.Errorf("%s: %q, want %s", c, a, action)
			}
		}
	}
}
