package web_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"selvage/internal/work"
)

// TestSettingsInABrowser looks at the manager's pages: axe-core, large enough to tap, and
// as they were kept.
func TestSettingsInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: a browser is started")
	}
	years := -20
	i := install(t, func() time.Time { return time.Now().AddDate(years, 0, 0) })
	ids := map[string]string{}
	for _, name := range []string{"C-1007", "C-1008", "C-1009"} {
		var err error
		ids[name], err = i.desk.NewCase(t.Context(), "asst", name, "")
		must(t, err)
	}
	years = 0
	s := browse(t, i.url)
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
	must(t, work.NoteBackup(t.Context(), i.desk.Ledger(), work.Backup{To: "E:/backup", Events: 5, Files: 3}))
	must(t, i.desk.Hold(t.Context(), "dr", ids["C-1008"], "a dispute"))
	must(t, i.desk.AskDeletion(t.Context(), "dr", ids["C-1009"], time.Now().AddDate(-10, 0, 0)))
	s.Go(s.url + "/settings/old")
	s.Says("Cases whose time is over")
	s.looked("old")
	s.Go(s.url + "/settings")
	s.lookedAt("settings-keep", "#times")
	s.Touch("Let a program in")
	s.fill("name", "Archive")
	s.Key(kb.Enter)
	s.Says("It is shown this once")
	s.dark("token")
}
