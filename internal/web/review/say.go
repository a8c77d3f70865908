package review

import (
	"fmt"
	"strings"

	"selvage/internal/web/page"
	"selvage/quality"
)

// Say puts a rate into words that hold no more than it does: under ten, the counts and that
// they are too few; under a hundred, the counts and between which shares the true one lies;
// from there on the share, too.
func Say(w page.Words, r quality.Rate) string {
	low, high := fmt.Sprintf("%.0f", 100*r.Low), fmt.Sprintf("%.0f", 100*r.High)
	switch {
	case r.Of == 0:
		return w.T("rate.none")
	case r.Small():
		return w.T("rate.few", r.Hits, r.Of)
	case r.Of < quality.Many:
		return w.T("rate.some", r.Hits, r.Of, low, high)
	}
	return w.T("rate.many", r.Hits, r.Of, fmt.Sprintf("%.0f", 100*r.Share), low, high)
}

// SaySpread puts the middle of durations into words: how many, their median, and between
// what the median of all lies where that is known.
func SaySpread(w page.Words, s quality.Spread, unit string) string {
	write := func(v float64) string { return oneDigit(w, v) }
	switch {
	case s.Of == 0:
		return w.T("rate.none")
	case !s.Known:
		return w.T("spread.few", s.Of)
	}
	return w.T("spread.known", s.Of, write(s.Median), w.T(unit), write(s.Low), write(s.High))
}

// oneDigit writes a number with at most one digit after the sign.
func oneDigit(w page.Words, v float64) string {
	text := strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
	if w.Language() == "de" {
		text = strings.ReplaceAll(text, ".", ",")
	}
	return text
}
