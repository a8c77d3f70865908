package web_test

import (
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// TestSettingsInABrowser looks at the manager's pages: axe-core, large enough to tap, and
// as they were kept.
func TestSettingsInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: a browser is started")
	}
	home := sit(t)
	s := browse(t, home.url)
	s.Go(s.url + "/first")
	s.fill("name", "A. Berg")
	s.fill("proof", "482703")
	s.fill("again", "482703")
	s.Key(kb.Enter)
	s.Says("seal it in an envelope")
	s.Go(s.url + "/people")
	s.Touch("Settings")
	s.Says("Other programs")
	s.looked("settings")
	s.Touch("See and change limits")
	s.Says("margin not captured")
	s.looked("limits")
	s.Go(s.url + "/settings/limits/margin-not-captured")
	s.Says("Why it is changed")
	s.looked("limit")
	s.fill("reason", "our scanner")
	s.Key(kb.Enter)
	s.Says("Measures are held against")
	s.Go(s.url + "/settings/limits/margin-not-captured")
	s.Says("What happened")
	s.dark("limit with history")
	s.Go(s.url + "/settings")
	s.Touch("Let a program in")
	s.fill("name", "Archive")
	s.Key(kb.Enter)
	s.Says("It is shown this once")
	s.dark("token")
}
