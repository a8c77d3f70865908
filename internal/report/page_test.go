package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
)

func pageOf(t *testing.T, in Input) string {
	t.Helper()
	b, err := HTML(in)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestPageLoadsNothing checks that the page is whole in itself: every source is
// data, there is no script, and its policy allows its own style alone.
func TestPageLoadsNothing(t *testing.T) {
	for _, c := range cases {
		p := pageOf(t, input(c.make()))
		for _, m := range regexp.MustCompile(`(?i)\b(?:src|href|action|xlink:href)="([^"]*)"`).FindAllStringSubmatch(p, -1) {
			if !strings.HasPrefix(m[1], "data:image/png;base64,") && m[1] != "#cautions" {
				t.Errorf("%s: refers to %.60q", c.name, m[1])
			}
		}
		for _, bad := range []string{"<script", "javascript:", "http:", "https:", "@import", " style=\"", " onload", " onerror", "<iframe", "<link"} {
			if strings.Contains(strings.ToLower(p), bad) {
				t.Errorf("%s: contains %q", c.name, bad)
			}
		}
		style := p[strings.Index(p, "<style>")+len("<style>") : strings.Index(p, "</style>")]
		sum := sha256.Sum256([]byte(style))
		want := "style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
		if !strings.Contains(html.UnescapeString(p), want) {
			t.Errorf("%s: the policy does not hold the hash of the style that is in the page", c.name)
		}
		if !strings.Contains(p, "default-src 'none'") {
			t.Errorf("%s: the policy does not forbid everything else", c.name)
		}
	}
}

// hostile is a report whose every free text tries to break out.
func hostile() casefile.Report {
	r := scanAgain()
	evil := `"><script>alert(1)</script><img src=x onerror=alert(2)>&'` + "\x1b[31m\u202e\n{{.}}</style>"
	r.Case, r.Line = evil, "Scan again: "+evil
	for i := range r.Scans {
		r.Scans[i].File = evil + ".stl"
	}
	r.Assumed = []string{evil}
	for i := range r.Restorations[0].Findings {
		f := &r.Restorations[0].Findings[i]
		f.Text, f.Advice, f.Source = evil, evil, evil
	}
	r.Restorations[0].Measures.SharpEdge = casefile.NotMeasured(evil)
	r.Program.Limits, r.Program.Version = evil, evil
	return r
}

// TestHostileTextIsInert checks that nothing from a case becomes markup, and that
// nothing reaches a terminal's controls.
func TestHostileTextIsInert(t *testing.T) {
	in := input(hostile())
	for i := range in.Figures {
		in.Figures[i].Alt = `" onerror="alert(3)`
	}
	p := pageOf(t, in)
	clean := pageOf(t, input(scanAgain()))
	tags := regexp.MustCompile(`<[a-zA-Z/!][a-zA-Z0-9]*`)
	count := func(s, tag string) int {
		n := 0
		for _, m := range tags.FindAllString(s, -1) {
			if strings.EqualFold(m, tag) {
				n++
			}
		}
		return n
	}
	for _, tag := range []string{"<script", "<img", "<style", "</style"} {
		if got, want := count(p, tag), count(clean, tag); got != want {
			t.Errorf("%d of %s, want %d as in the harmless report", got, tag, want)
		}
	}
	if strings.Contains(p, `onerror="`) || strings.ContainsAny(p, "\x1b\u202e") {
		t.Error("an attribute, an escape or a direction override got through")
	}
	var b bytes.Buffer
	if err := Text(&b, in, TextOptions{Width: 80, Plain: true}); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(b.String(), "\x1b\u202e") {
		t.Error("the text for the terminal carries an escape or a direction override")
	}
}

// TestStrangerReadsTheAnswerFirst checks the order of the page: the word and the
// place in the one h1 block, then what to do, before anything else.
func TestStrangerReadsTheAnswerFirst(t *testing.T) {
	p := pageOf(t, input(scanAgain()))
	last := -1
	for _, s := range []string{
		"<h1>Scan again</h1>", "distal margin</p>", "Dry and scan the distal margin again, with some root below the line.</p>",
		"Hold the tip tilted by 35°, from the distobuccal side.", "The scan ends at the margin for 2.3", "This measures the files, not the mouth",
		"The least room measured at the palatal cusp", "For the dentist: tooth 26", "1.7 ± 0.1 mm", "Fill in before sending", "Worth knowing",
		"Measured: tooth 26", "Not measured", "Does not matter", "working.ply", "SHA-256 1f0c9a6b", "Limits", "Cautions", "0.1.0",
	} {
		i := strings.Index(strings.ReplaceAll(p[last+1:], "\u00a0", " "), s)
		if i < 0 {
			t.Fatalf("%q is missing or too early", s)
		}
		// count on in the original: the replaced text is shorter by one byte a space
		j := strings.Index(p[last+1:], strings.ReplaceAll(s, " ± 0.1 mm", "\u00a0±\u00a00.1\u00a0mm"))
		last += 1 + max(j, 0)
	}
	if n := strings.Count(p, "<h1>"); n != 1 {
		t.Errorf("%d headings of the first rank, want 1", n)
	}
}

// TestPicturesSpeak checks that every picture has a sentence and its size.
func TestPicturesSpeak(t *testing.T) {
	for _, c := range cases {
		for _, m := range regexp.MustCompile(`<img [^>]*>`).FindAllString(pageOf(t, input(c.make())), -1) {
			if !regexp.MustCompile(`width="\d+" height="\d+" alt="[^"]{8,}"`).MatchString(m) {
				t.Errorf("%s: %.120s", c.name, m)
			}
		}
	}
	in := input(scanAgain())
	in.Figures = []Figure{{Slot: "finding-1", MIME: "text/html", Data: []byte("<script>")}}
	if p := pageOf(t, in); strings.Contains(p, "text/html") || strings.Contains(p, "<img") {
		t.Error("a figure that is no picture got in")
	}
}

// TestEveryWordIsThere checks that no catalogue key shows itself on a page or in a
// text, for every verdict, stage, action and role.
func TestEveryWordIsThere(t *testing.T) {
	gap := regexp.MustCompile(`\[[a-z][a-z.-]+[^\]]*\]`)
	for _, c := range cases {
		for _, stage := range []finding.Stage{finding.Final, finding.Preparation} {
			r := c.make()
			r.Stage = stage
			for _, role := range finding.Roles() {
				r.Scans = append(r.Scans, casefile.Scan{Role: role, File: "x.stl"})
			}
			for _, a := range finding.Actions() {
				r.Findings = append(r.Findings, casefile.Finding{Code: finding.BiteOpen, Action: a, Text: "t", Advice: "a"})
			}
			var b bytes.Buffer
			if err := Text(&b, input(r), TextOptions{Plain: true}); err != nil {
				t.Fatal(err)
			}
			p := pageOf(t, input(r))
			p = p[strings.Index(p, "</style>"):]
			for _, s := range []string{b.String(), p} {
				if m := gap.FindString(s); m != "" {
					t.Errorf("%s, %s: the word %s is missing", c.name, stage, m)
				}
			}
		}
	}
	if n := len(English().Cautions()); n != 10 {
		t.Errorf("%d cautions, want 10", n)
	}
}

// TestNothingIsDropped checks that each measure is either in the table or among
// those that were not made, with its reason, and never both.
func TestNothingIsDropped(t *testing.T) {
	for _, c := range cases {
		in := input(c.make())
		groups := in.measures(0)
		all := 0
		for _, g := range groups {
			all += len(g.Rows)
		}
		made, not := parted(groups)
		n := 0
		for _, g := range made {
			for _, r := range g.Rows {
				n++
				if r.Value == "" || r.Not != "" {
					t.Errorf("%s: %s has the value %q and the reason %q", c.name, r.Name, r.Value, r.Not)
				}
			}
		}
		for _, w := range not {
			n += len(w.Names)
			if w.Why == "" {
				t.Errorf("%s: %v without a reason", c.name, w.Names)
			}
		}
		if n != all || all < 30 {
			t.Errorf("%s: %d of %d measures told", c.name, n, all)
		}
	}
}

// relative luminance and contrast as WCAG 2.2 defines them.
func luminance(hex string) float64 {
	if len(hex) == 4 {
		hex = "#" + hex[1:2] + hex[1:2] + hex[2:3] + hex[2:3] + hex[3:4] + hex[3:4]
	}
	v, _ := strconv.ParseUint(hex[1:], 16, 32)
	lin := func(c uint64) float64 {
		x := float64(c&255) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(v>>16) + 0.7152*lin(v>>8) + 0.0722*lin(v)
}

// TestContrast holds the page's inks to WCAG 2.2 AA in both schemes: 4.5 for words,
// 3 for lines that carry meaning.
func TestContrast(t *testing.T) {
	blocks := regexp.MustCompile(`:root\{([^}]*)\}`).FindAllStringSubmatch(pageCSS, -1)
	if len(blocks) < 3 {
		t.Fatalf("%d sets of colours, want light, dark and print", len(blocks))
	}
	for i, scheme := range []string{"light", "dark", "print"} {
		ink := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z-]+):(#[0-9a-f]{3,6})`).FindAllStringSubmatch(blocks[i][1], -1) {
			ink[m[1]] = m[2]
		}
		for _, p := range [][3]string{
			{"ink", "paper", "4.5"},
			{"ink", "sheet", "4.5"},
			{"soft", "paper", "4.5"},
			{"soft", "sheet", "4.5"},
			{"thread", "paper", "4.5"},
			{"scan-ink", "scan", "4.5"},
			{"ask-ink", "ask", "4.5"},
			{"clear-ink", "clear", "4.5"},
			{"none-ink", "none", "4.5"},
			{"warn", "sheet", "3"},
			{"edge", "sheet", "3"},
			{"ask", "ask-ink", "3"},
		} {
			need, _ := strconv.ParseFloat(p[2], 64)
			a, b := luminance(ink[p[0]]), luminance(ink[p[1]])
			if c := (max(a, b) + 0.05) / (min(a, b) + 0.05); c < need {
				t.Errorf("%s: %s on %s has contrast %.2f, want %s", scheme, p[0], p[1], c, p[2])
			}
		}
	}
}
