package wire_test

import (
	"strings"
	"testing"

	"selvage/meshio/wire"
)

func TestWordsAndLines(t *testing.T) {
	for name, text := range map[string]string{
		"LF":     "a b\nc\n\nd",
		"CR LF":  "a b\r\nc\r\n\r\nd",
		"CR":     "a b\rc\r\rd",
		"tabs":   "\ta \v b\n\t c\n \f\nd ",
		"BOM":    "\xef\xbb\xbfa b\nc\n\nd\n",
		"spaces": "   a    b   \n  c\n\n\t\td",
	} {
		r := wire.NewText([]byte(text))
		var words []string
		var lines []int
		for w := r.Word(); len(w) > 0; w = r.Word() {
			words, lines = append(words, string(w)), append(lines, r.Line())
		}
		if got := strings.Join(words, " "); got != "a b c d" {
			t.Errorf("%s: words %q", name, got)
		}
		for i, want := range []int{1, 1, 2, 4} {
			if lines[i] != want {
				t.Errorf("%s: word %d is in line %d, want %d", name, i, lines[i], want)
			}
		}
	}
}

// byLine returns the words of each line, parted by | and /.
func byLine(text string, continued bool) string {
	r := wire.NewText([]byte(text))
	r.Continued = continued
	var lines []string
	for len(r.Rest()) > 0 {
		var words []string
		for w := r.WordOnLine(); len(w) > 0; w = r.WordOnLine() {
			words = append(words, string(w))
		}
		lines = append(lines, strings.Join(words, "|"))
		r.SkipLine()
	}
	return strings.Join(lines, "/")
}

func TestWordsOnALine(t *testing.T) {
	for _, c := range []struct {
		text      string
		continued bool
		want      string
	}{
		{"a b\nc", false, "a|b/c"},
		{"a b\r\nc\r\n", false, "a|b/c"},
		{"a\r\rb", false, "a//b"},
		{"a \\\nb", false, "a|\\/b"},
		{"a \\\nb", true, "a|b"},
		{"a \\\r\nb", true, "a|b"},
		{"a \\\rb\nc", true, "a|b/c"},
		{"a\\\nb", true, "a|b"}, // a backslash parts words, as a line end does
		{"a\\b c", true, "a\\b|c"},
		{"a \\", true, "a|\\"},
		{"a \\\n\\\nb\nc", true, "a|b/c"},
		{"", true, ""},
	} {
		if got := byLine(c.text, c.continued); got != c.want {
			t.Errorf("%q, continued %v: %q, want %q", c.text, c.continued, got, c.want)
		}
	}
}

func TestJoinedLinesCount(t *testing.T) {
	r := wire.NewText([]byte("a \\\r\nb\\\nc\nd"))
	r.Continued = true
	for _, want := range []int{1, 2, 3} {
		if r.WordOnLine(); r.Line() != want {
			t.Errorf("line %d, want %d", r.Line(), want)
		}
	}
	r.SkipLine()
	if r.WordOnLine(); r.Line() != 4 {
		t.Errorf("the last word is in line %d, want 4", r.Line())
	}
}

func TestFloatReportsTheWord(t *testing.T) {
	r := wire.NewText([]byte(" 1.5\n-2e3\tnan x 7"))
	for _, want := range []float64{1.5, -2000} {
		if v, _, ok := r.Float(); !ok || v != want {
			t.Errorf("read %v, %v, want %v", v, ok, want)
		}
	}
	for _, want := range []string{"nan", "x"} {
		if _, word, ok := r.Float(); ok || string(word) != want {
			t.Errorf("refused %q, %v; want %q", word, ok, want)
		}
	}
	if v, _, ok := r.Float(); !ok || v != 7 {
		t.Errorf("after a refused word: %v, %v", v, ok)
	}
	if _, word, ok := r.Float(); ok || len(word) != 0 {
		t.Errorf("at the end: %q, %v", word, ok)
	}
}

func TestQuote(t *testing.T) {
	for in, want := range map[string]string{
		"abc":                   `"abc"`,
		"a\x00\nü":              `"a\x00\n\u00fc"`,
		strings.Repeat("x", 99): `"` + strings.Repeat("x", 24) + `"…`,
		"":                      `""`,
	} {
		if got := wire.Quote([]byte(in)); got != want {
			t.Errorf("Quote(%q) = %s, want %s", in, got, want)
		}
	}
}

func TestErrorReadsAsOneLine(t *testing.T) {
	e := &wire.Error{
		Format: "binary STL", Kind: wire.Number, Unit: "triangle", Index: 1042,
		Detail: "a coordinate is not a finite number", Hint: wire.HintExport,
	}
	want := "decode binary STL: triangle 1042: a coordinate is not a finite number; export the scan again"
	if e.Error() != want {
		t.Errorf("got  %s\nwant %s", e, want)
	}
	if got := (&wire.Error{Format: "OBJ", Detail: "is empty"}).Error(); got != "decode OBJ: is empty" {
		t.Error(got)
	}
	if wire.Kind(99).String() != "kind 99" || wire.TooLarge.String() != "too large" {
		t.Error("names of kinds")
	}
}
