package report

import (
	"fmt"
	"strconv"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
)

// show writes a measured value rounded to its uncertainty, with its unit. An
// uncertainty finer than anyone reads is shown as the finest that is read: a
// hundredth of a mm, a tenth of a degree, a µm. The JSON has all digits.
func show(m casefile.Measure, unit measure.Unit) string {
	u := m.U
	if u > 0 {
		u = max(u, finest(unit))
	}
	return finding.Show(measure.Of(m.Value, u, unit))
}

func finest(unit measure.Unit) float64 {
	switch unit {
	case measure.Deg:
		return 0.1
	case measure.Micro:
		return 1
	default:
		return 0.01
	}
}

// place writes where a value was found: coordinates in the scan's own frame, which
// any viewer that opens the file can show.
func (w *Words) place(m casefile.Measure) string {
	if m.At == nil {
		return ""
	}
	return fmt.Sprintf("%s %.1f, %.1f, %.1f", w.T("role."+string(m.Scan)), m.At[0], m.At[1], m.At[2])
}

// thousands writes a count with thin spaces between groups of three.
func thousands(n int) string {
	s := strconv.Itoa(n)
	if n < 0 {
		return s
	}
	var b strings.Builder
	for i, c := range s {
		if i > 0 && (len(s)-i)%3 == 0 {
			b.WriteString("\u202f")
		}
		b.WriteRune(c)
	}
	return b.String()
}

// split parts the verdict's line into the word and the rest: "Scan again" and
// "distal margin". The line of a clear case is two sentences; the second is the rest.
func (w *Words) split(rep casefile.Report) (word, rest string) {
	word = w.T("word." + string(rep.Verdict))
	line := strings.TrimSpace(rep.Line)
	if head, tail, ok := strings.Cut(line, ": "); ok && rep.Verdict != finding.Clear {
		return head, tail
	}
	if head, tail, ok := strings.Cut(line, ". "); ok {
		return head, strings.TrimSuffix(tail, ".")
	}
	if line != "" && line != word {
		return word, line
	}
	return word, ""
}

// tied keeps a number, its uncertainty and its unit on one line.
func tied(s string) string {
	return strings.NewReplacer(" ± ", "\u00a0±\u00a0", " mm", "\u00a0mm", " µm", "\u00a0µm").Replace(s)
}

// inert drops what could drive a terminal or hide text: control characters,
// directional overrides and line breaks become a visible mark.
func inert(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case r < 0x20 || r == 0x7f || r >= 0x80 && r < 0xa0:
			return '\ufffd'
		case r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x061c:
			return '\ufffd'
		case r == 0x2028 || r == 0x2029:
			return ' '
		default:
			return r
		}
	}, s)
}

func vector(v [3]float64) string { return fmt.Sprintf("%.3f, %.3f, %.3f", v[0], v[1], v[2]) }
