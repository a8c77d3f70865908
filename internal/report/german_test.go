package report

import (
	"strings"
	"testing"
)

// TestGermanSaysWhatEnglishSays holds the catalogues against each other.
func TestGermanSaysWhatEnglishSays(t *testing.T) {
	en, de := English(), German()
	for k, s := range en.Text {
		g, ok := de.Text[k]
		if !ok || (g == "") != (s == "") {
			t.Errorf("German lacks %q", k)
		}
		if strings.Count(s, "%s") != strings.Count(g, "%s") {
			t.Errorf("%q fills in other things: %q and %q", k, s, g)
		}
	}
	for k := range de.Text {
		_, ok := en.Text[k]
		if !ok && !strings.HasPrefix(k, "side.") && !strings.HasPrefix(k, "alt.") { // English needs no word for its own
			t.Errorf("English lacks %q", k)
		}
	}
	if len(en.Cautions()) != len(de.Cautions()) {
		t.Errorf("%d cautions in English, %d in German", len(en.Cautions()), len(de.Cautions()))
	}
	for _, c := range [][2]string{{"0.8 ± 0.1 mm", "0,8 ± 0,1 mm"}, {"12°", "12°"}, {"working 1.5, 2.0", "working 1,5, 2,0"}} {
		if got := de.num(c[0]); got != c[1] || en.num(c[0]) != c[0] {
			t.Errorf("%q in German: %q, want %q", c[0], got, c[1])
		}
	}
}
