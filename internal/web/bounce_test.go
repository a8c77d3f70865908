package web_test

import (
	"fmt"
	"testing"
	"time"

	"selvage/internal/browser"
)

// TestBrowserTapThatBounces: two taps of a glove on one button send once, also where the
// second falls on the page that the first brought back; a second wish, or another one, is
// heard. What the page does with each tap is watched, and its clock is the test's.
func TestBrowserTapThatBounces(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	i := install(t, time.Now)
	c := i.browser(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	c.first("A. Berg", "482703", "dentist", "manager")
	s := browse(t, i.url)
	s.Go(s.url + "/who")
	s.post("/who/"+c.id("A. Berg"), "proof=482703")
	page := func() {
		s.Go(s.url + at + "/hand-off")
		s.Until(`document.querySelector('button[name=do][value=elsewhere]') !== null`)
		browser.Ask[bool](s.Page, `(document.addEventListener("submit", (e) => { window.dropped = e.defaultPrevented; e.preventDefault(); }), true)`)
	}
	tap := func(ms int, value string, want bool) {
		t.Helper()
		got := browser.Ask[bool](s.Page, fmt.Sprintf(`((b) => { Date.now = () => %d; b.value = %q; b.click(); return window.dropped; })(document.querySelector("button[name=do]"))`, ms, value))
		if got != want {
			t.Errorf("the tap on %q at %d ms was dropped: %v, want %v", value, ms, got, want)
		}
	}
	page()
	tap(10_000, "elsewhere", false)
	tap(10_300, "elsewhere", true)
	tap(10_400, "other", false)
	tap(10_500, "elsewhere", false)
	page()
	tap(11_000, "elsewhere", true)
	tap(11_200, "elsewhere", false)
}
