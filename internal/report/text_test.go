package report

import (
	"bytes"
	"strings"
	"testing"

	"selvage/internal/since"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/r3"
	"selvage/tooth"
)

func textOf(t *testing.T, in Input, o TextOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := Text(&b, in, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestWidth checks that no line is wider than the terminal, words aside that are.
func TestWidth(t *testing.T) {
	for _, c := range cases {
		for _, width := range []int{40, 60, 80, 110} {
			for _, plain := range []bool{true, false} {
				s := textOf(t, input(c.make()), TextOptions{Width: width, Plain: plain})
				s = strings.NewReplacer("\x1b[1m", "", "\x1b[0m", "").Replace(s)
				for _, l := range strings.Split(s, "\n") {
					// a measure's name and value stay on one line: they are read as one
					if columns(l) > width && !strings.Contains(l, " ± ") && len(strings.Fields(l)) > 1 {
						t.Errorf("%s at %d: %q", c.name, width, l)
					}
				}
			}
		}
	}
}

// TestPlainHasNoEscapes checks NO_COLOR, a dumb terminal and a pipe; the words stay
// the same.
func TestPlainHasNoEscapes(t *testing.T) {
	env := func(set ...string) func(string) string {
		return func(k string) string {
			for i := 0; i+1 < len(set); i += 2 {
				if set[i] == k {
					return set[i+1]
				}
			}
			return ""
		}
	}
	rich := TextOptionsFor(env(), true, 90)
	if rich.Plain || rich.Width != 90 {
		t.Errorf("a terminal of 90 columns gives %+v", rich)
	}
	full := textOf(t, input(scanAgain()), rich)
	if !strings.Contains(full, "\x1b[1m") || !strings.Contains(full, "▀") {
		t.Error("a terminal gets neither bold nor large letters")
	}
	for name, o := range map[string]TextOptions{
		"NO_COLOR": TextOptionsFor(env("NO_COLOR", "1"), true, 90),
		"dumb":     TextOptionsFor(env("TERM", "dumb"), true, 90),
		"pipe":     TextOptionsFor(env("COLUMNS", "90"), false, 0),
	} {
		s := textOf(t, input(scanAgain()), o)
		if strings.ContainsAny(s, "\x1b▀") {
			t.Errorf("%s: escapes or large letters", name)
		}
		bare := strings.NewReplacer("\x1b[1m", "", "\x1b[0m", "").Replace(full)
		if !strings.HasSuffix(bare, s) {
			t.Errorf("%s: the words differ from those on a terminal", name)
		}
	}
}

// TestVerdictFirst checks that the first line of the plain text is the answer.
func TestVerdictFirst(t *testing.T) {
	want := map[string]string{
		"clear": "NOTHING TO SCAN AGAIN: For the dentist to review", "scan-again": "SCAN AGAIN: distal margin",
		"ask-dentist": "GET THE DENTIST: 0.8 ± 0.1 mm at the palatal cusp", "not-checked": "NOT CHECKED: no opposing arch",
	}
	for _, c := range cases {
		s := textOf(t, input(c.make()), TextOptions{Width: 80, Plain: true})
		if first, _, _ := strings.Cut(s, "\n"); first != want[c.name] {
			t.Errorf("%s begins %q, want %q", c.name, first, want[c.name])
		}
	}
}

// TestBanner checks that every verdict can be set in large letters, and that one that
// does not fit is left out.
func TestBanner(t *testing.T) {
	for _, v := range finding.Verdicts() {
		s := English().T("banner." + string(v))
		art, ok := banner(s, 80)
		if !ok || strings.Count(art, "\n") != 3 {
			t.Errorf("%q: ok %v, %d lines; want 3 within 80 columns", s, ok, strings.Count(art, "\n"))
		}
		if _, ok := banner(s, 20); ok {
			t.Errorf("%q fits 20 columns", s)
		}
	}
	if _, ok := banner("ÄÖ", 80); ok {
		t.Error("letters that are not drawn were drawn")
	}
}

// TestOrder checks that lists are merged by what their heads decide, that no list is
// reordered, and that numbers and order agree.
func TestOrder(t *testing.T) {
	f := func(c finding.Code, a finding.Action) casefile.Finding {
		return casefile.Finding{Code: c, Action: a, Call: finding.Proven}
	}
	r := base()
	r.Restorations[0].Findings = []casefile.Finding{
		f(finding.ClearanceLow, finding.AskDentist), f(finding.MarginUnclear, finding.OpenMargin), f(finding.WallsShort, finding.Note),
	}
	r.Findings = []casefile.Finding{
		f(finding.BiteDiffers, finding.ScanAgain), f(finding.DateImpossible, finding.FillIn), f(finding.Fragments, finding.Note),
	}
	want := []finding.Code{finding.BiteDiffers, finding.ClearanceLow, finding.MarginUnclear, finding.DateImpossible, finding.WallsShort, finding.Fragments}
	number := Numbering(r)
	for i, got := range Order(r) {
		if got.Code != want[i] || got.N != i+1 {
			t.Errorf("place %d: %s with number %d, want %s", i+1, got.Code, got.N, want[i])
		}
		if n := number(got.Restoration, got.Index); n != i+1 {
			t.Errorf("%s: number %d, want %d", got.Code, n, i+1)
		}
	}
	if number(3, 0) != 0 {
		t.Error("a finding that is not there has a number")
	}
}

// TestChartDirections checks the diagram's turn against a dental chart.
func TestChartDirections(t *testing.T) {
	for _, c := range []struct {
		n    tooth.Number
		side tooth.Surface
		x, y float64
	}{
		{26, tooth.Mesial, 0, 1},
		{26, tooth.Buccal, 1, 0},
		{16, tooth.Buccal, -1, 0},
		{36, tooth.Mesial, 0, -1},
		{36, tooth.Buccal, 1, 0},
		{46, tooth.Buccal, -1, 0},
		{46, tooth.Distal, 0, 1},
		{11, tooth.Buccal, 0, 1},
		{11, tooth.Mesial, 1, 0},
		{21, tooth.Mesial, -1, 0},
		{31, tooth.Buccal, 0, -1},
		{41, tooth.Distal, -1, 0},
	} {
		x, y, ok := chartOf(c.n).toward(c.side)
		if !ok || r3.V(x, y, 0).Dist(r3.V(c.x, c.y, 0)) > 1e-9 {
			t.Errorf("tooth %v, %s: (%.2f, %.2f), want (%v, %v)", c.n, c.side, x, y, c.x, c.y)
		}
	}
	if _, _, ok := chartOf(26).toward(tooth.Occlusal); ok {
		t.Error("the biting surface has a direction in a view on it")
	}
}

// TestRingIsTurned checks that the gap of the distal margin is drawn on the distal
// side, whether the directions are given or come from the gaps to the neighbours.
func TestRingIsTurned(t *testing.T) {
	in := input(scanAgain()) // mesial is +y in it: the mesial gap lies there
	for name, facing := range map[string][]Facing{"from the gaps": nil, "given": {{Mesial: r3.V(0, 1, 0), Buccal: r3.V(1, 0, 0)}}} {
		in.Facing = facing
		g, ok := in.ring(0, Order(in.Report))
		if !ok || len(g.Beads) != 1 || len(g.Arcs) != 1 || len(g.Spots) != 1 || len(g.Words) != 4 {
			t.Fatalf("%s: %d runs of beads, %d arcs, %d numbers, %d words", name, len(g.Beads), len(g.Arcs), len(g.Spots), len(g.Words))
		}
		// distal of an upper tooth is at the bottom of the drawing, y down
		if y := g.Spots[0].Y; y < "150" || len(y) != len("249.0") {
			t.Errorf("%s: the distal number stands at y = %s", name, y)
		}
	}
	in.Report.Restorations[0].Measures.Margin.Stretches = []casefile.Stretch{{From: -5, To: 400}}
	if _, ok := in.ring(0, nil); !ok {
		t.Error("a stretch with wrong indices undid the drawing")
	}
}

// TestVerdictShapesDiffer checks that no two verdicts share a shape.
func TestVerdictShapesDiffer(t *testing.T) {
	shape := regexpShape(t)
	seen := map[string]string{}
	for _, c := range cases {
		s := shape(pageOf(t, input(c.make())))
		if other, dup := seen[s]; dup {
			t.Errorf("%s and %s have the same shape", c.name, other)
		}
		seen[s] = c.name
	}
}

func regexpShape(t *testing.T) func(string) string {
	return func(page string) string {
		_, rest, ok := strings.Cut(page, `<svg viewBox="0 0 120 120"`)
		if !ok {
			t.Fatal("no shape beside the verdict")
		}
		s, _, _ := strings.Cut(rest, "</svg>")
		return s
	}
}

// TestFinestDigit checks that no value shows more digits than anyone can read.
func TestFinestDigit(t *testing.T) {
	for _, c := range []struct{ v, u float64 }{{0.0942, 0.0004}, {1.18, 0.02}} {
		s := show(mm(c.v, c.u), "mm")
		if i := strings.IndexByte(s, '.'); len(s[i+1:strings.IndexByte(s, ' ')]) > 2 {
			t.Errorf("%v ± %v is shown as %s", c.v, c.u, s)
		}
	}
	if s := show(casefile.Count(9), ""); s != "9" {
		t.Errorf("a count of nine is shown as %s", s)
	}
}

// What changed since the check before stands in the text and on the page, in both languages.
func TestSince(t *testing.T) {
	in := Input{Report: base()}
	was := casefile.Finding{Code: finding.MarginUnclear, Text: "2 mm of the margin cannot be read."}
	in.Since = []since.Change{{State: since.Resolved, Tooth: "26", Was: &was}, {State: since.Untold, Tooth: "26", Was: &was}}
	for _, c := range []struct {
		words *Words
		want  []string
	}{
		{English(), []string{"Since the check before", "Put right: 2 mm of the margin", "Not measured this time: 2 mm"}},
		{In("de"), []string{"Seit der Prüfung davor", "In Ordnung gebracht: 2 mm", "Diesmal nicht gemessen: 2 mm"}},
	} {
		in.Words = c.words
		text := textOf(t, in, TextOptions{Width: 100, Plain: true})
		parts, err := Pieces(in)
		if err != nil {
			t.Fatal(err)
		}
		page := strings.NewReplacer("<span class=\"do\">", "", "</span>", "").Replace(string(parts.Then))
		for _, w := range c.want {
			if !strings.Contains(text, w) || !strings.Contains(page, w) {
				t.Errorf("%s: %q is not said:\n%s\n%s", c.words.Lang, w, text, page)
			}
		}
	}
}
