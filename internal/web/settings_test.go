package web_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/people"
	"selvage/internal/work"
	"selvage/limit"
)

// TestLimitsOfThePractice: the manager changes a limit with a reason; the next check is
// held against it, its report says so, and the history holds both.
func TestLimitsOfThePractice(t *testing.T) {
	i := install(t, time.Now)
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist")
	page, status, _ := c.get("/settings")
	wants(t, page, "All of them are as shipped", "No folder is watched", "None was made yet", "Other programs")
	if status != http.StatusOK {
		t.Fatal(status)
	}
	page, _, _ = c.get("/settings/limits")
	wants(t, page, "margin not captured", limit.Default().Semver(), "our own choice")
	const at = "/settings/limits/margin-not-captured"
	for words, form := range map[string]url.Values{
		"why it is changed": {"flag": {"0.7"}, "source": {"our own"}},
		"no number: x":      {"flag": {"x"}, "source": {"our own"}, "reason": {"r"}},
		"no source":         {"flag": {"0.7"}, "reason": {"r"}},
		"no level":          {"source": {"our own"}, "reason": {"r"}},
		"zero or more":      {"flag": {"-1"}, "source": {"our own"}, "reason": {"r"}},
	} {
		if page, _, status := c.send(at, form); status != http.StatusUnprocessableEntity || !strings.Contains(page, words) {
			t.Errorf("%v: %d, want %q", form, status, words)
		}
	}
	if _, status, _ := c.get("/settings/limits/colour"); status != http.StatusNotFound {
		t.Errorf("a limit that is not there: %d", status)
	}
	page, _, status = c.send(at, url.Values{"flag": {"30,5"}, "source": {"our <own> instructions"}, "reason": {"our scanner"}})
	wants(t, page, "30.5", "our &lt;own&gt; instructions", "(the practice’s own)")
	row, _ := i.desk.Limits().Find("margin-not-captured", limit.Selector{})
	if status != http.StatusOK || row.Flag.V != 30.5 {
		t.Errorf("the limit is %v (%d)", row.Flag, status)
	}
	page, _, _ = c.get(at)
	wants(t, page, "0.5 / none → 30.5 / none", "our scanner", "A. Berg")

	c.send("/settings/limits/margin-line-angle", url.Values{"flag": {"30"}, "source": {"our own"}, "reason": {"our scanner"}}) // the gap has both
	files, err := made()
	must(t, err)
	_, place, _ := c.drop("/case", files)
	c.send(place+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	c.await(place, "answer")
	k := i.current(t, strings.TrimPrefix(place, "/case/"))
	_, rep, err := i.desk.Result(t.Context(), k)
	must(t, err)
	if rep.Program.Limits != i.desk.Limits().Version() || rep.Program.Limits == limit.Default().Version() {
		t.Errorf("the report was made with the limits %s", rep.Program.Limits)
	}
	for _, r := range rep.Restorations {
		for _, f := range r.Findings {
			if f.Code == "margin-not-captured" && f.Action == finding.ScanAgain {
				t.Errorf("a gap within the practice's own limit is acted on: %+v", f)
			}
		}
	}
	c.send("/settings/limits/margin-line-angle", url.Values{"do": {"shipped"}, "reason": {"it was a test"}})
	c.send(at, url.Values{"do": {"shipped"}, "reason": {"it was a test"}})
	if i.desk.Limits().Version() != limit.Default().Version() {
		t.Error("the shipped limit is not back")
	}
	page, _, _ = c.get("/people")
	wants(t, page, "limit changed")

	helper := i.helper(t, c, "C. Dahl", "593817")
	for _, p := range []string{"/settings", "/settings/limits", at} {
		if page, status, _ := helper.get(p); status != http.StatusForbidden || strings.Contains(page, "settings/programs") {
			t.Errorf("an assistant sees %s: %d", p, status)
		}
	}
	for _, p := range []string{at, "/settings/times/cord-plain", "/settings/programs", "/settings/programs/x/end", "/settings"} {
		if _, _, status := helper.send(p, url.Values{"reason": {"x"}}); status != http.StatusForbidden {
			t.Errorf("an assistant changes %s: %d", p, status)
		}
	}
}

// current returns the check that is current in a case.
func (i *installation) current(t *testing.T, id string) work.Check {
	t.Helper()
	c, err := i.desk.Case(t.Context(), id)
	must(t, err)
	k, ok := c.Current()
	if !ok {
		t.Fatal("no check is current")
	}
	return k
}

// TestOtherSettings: times at the clock, how long cases are kept, the back-up, programs.
func TestOtherSettings(t *testing.T) {
	i := install(t, time.Now)
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist")
	if page, _, status := c.send("/settings/times/cord-plain", url.Values{"least": {"9"}, "most": {"3"}, "source": {"s"}, "reason": {"r"}}); status != http.StatusUnprocessableEntity || !strings.Contains(page, "these times cannot be") {
		t.Errorf("times that cannot be: %d", status)
	}
	page, _, _ := c.send("/settings/times/cord-plain", url.Values{"least": {"2,5"}, "most": {"7"}, "source": {"instructions of our cord"}, "reason": {"a new product"}})
	wants(t, page, "2.5 to 7 minutes", "instructions of our cord", "a new product")
	if m := i.desk.Methods()[0]; m.Key != "cord-plain" || m.Least != 150*time.Second || m.Most != 7*time.Minute {
		t.Errorf("the clock has %+v", m)
	}
	page, _, _ = c.send("/settings", url.Values{"keep": {"7"}})
	if !regexp.MustCompile(`value="7" selected`).MatchString(page) {
		t.Error("7 years are not chosen")
	}
	if s, err := i.book().Settings(t.Context()); err != nil || s.Keep != 7 || s.Idle != 10 {
		t.Errorf("settings %+v, %v", s, err)
	}
	if _, _, status := c.send("/settings", url.Values{"keep": {"1"}}); status != http.StatusConflict {
		t.Errorf("a year that is not offered: %d", status)
	}
	page, _, status := c.send("/settings/watch", url.Values{"watch": {"/no/such/folder"}})
	if wants(t, page, "there is no folder /no/such/folder", `value="/no/such/folder"`); status != http.StatusUnprocessableEntity {
		t.Errorf("a folder that is not there: %d", status)
	}
	dir := t.TempDir()
	page, _, _ = c.send("/settings/watch", url.Values{"watch": {dir}})
	wants(t, page, "none → "+dir, "A. Berg")
	if i.desk.ToWatch("/given") != dir {
		t.Errorf("%q is watched, want %q", i.desk.ToWatch("/given"), dir)
	}
	_, _, status = c.send("/settings/watch", url.Values{"watch": {dir}, "do": {"none"}})
	if status != http.StatusOK {
		t.Errorf("no folder: %d", status)
	}
	must(t, work.NoteBackup(t.Context(), i.desk.Ledger(), work.Backup{To: "E:/backup", Events: 5, Files: 3}))
	page, _, _ = c.get("/settings")
	wants(t, page, "into E:/backup", "5 events and 3 files")

	page, _, _ = c.send("/settings/programs", url.Values{"name": {"Archive"}, "role": {string(people.Reader)}})
	m := regexp.MustCompile(`class="code">(selvage_[a-z0-9_]+)<`).FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("no token is shown:\n%s", page)
	}
	p := &program{t: t, url: i.url, token: m[1]}
	id := p.wants(p.get("/api/v1/me"), 200).at("id").(string)
	if page, _, _ = c.get("/settings"); strings.Contains(page, m[1]) || !strings.Contains(page, "Archive") {
		t.Error("the token is shown again, or its program is not")
	}
	if page, _, status := c.send("/settings/programs", url.Values{"name": {"archive"}, "role": {"reader"}}); status != http.StatusConflict || !strings.Contains(page, "called so already") {
		t.Errorf("the same name twice: %d", status)
	}
	page, _, _ = c.send("/settings/programs/"+id+"/end", nil)
	wants(t, page, "token ended")
	p.wants(p.get("/api/v1/me"), 401)
	if page, _, _ := c.get("/people"); !strings.Contains(page, "program let in") || !strings.Contains(page, "Archive") {
		t.Error("what happened does not name the program")
	}
}

// TestOldCases deletes the files of a case whose time is over, on the page: one person
// asks, another deletes, and the page of the case says so afterwards.
func TestOldCases(t *testing.T) {
	years := -8
	i := install(t, func() time.Time { return time.Now().AddDate(years, 0, 0) })
	_, at, _ := i.browser(t).drop("/case", map[string][]byte{"upper.stl": []byte("no mesh")})
	id := strings.TrimPrefix(at, "/case/")
	years = 0
	boss := i.browser(t)
	boss.first("A. Berg", "482703", "dentist", "manager")
	helper := i.helper(t, boss, "C. Dahl", "660214")
	if _, _, status := helper.send("/settings/old/"+id, url.Values{"do": {"ask"}}); status != http.StatusForbidden {
		t.Errorf("an assistant asks for deletion: %d", status)
	}
	boss.send("/settings", url.Values{"keep": {"7"}})
	page, _, _ := boss.get("/settings")
	wants(t, page, "1 cases have not changed", "See these cases")
	page, _, status := boss.send("/settings/old/"+id, url.Values{"do": {"ask"}})
	if wants(t, page, "no whole back-up", "None was backed up yet"); status != http.StatusConflict {
		t.Errorf("asked without a back-up: %d", status)
	}
	must(t, work.NoteBackup(t.Context(), i.desk.Ledger(), work.Backup{To: "E:/backup", Events: 5, Files: 3}))
	page, _, _ = boss.send("/settings/old/"+id, url.Values{"do": {"hold"}, "why": {"kept for longer"}})
	wants(t, page, "Held: kept for longer (A. Berg")
	boss.send("/settings/old/"+id, url.Values{"do": {"release"}})
	page, _, _ = boss.send("/settings/old/"+id, url.Values{"do": {"ask"}})
	wants(t, page, "A. Berg asked on", "A second person has to delete them")
	if page, _, status = boss.send("/settings/old/"+id, url.Values{"do": {"delete"}}); status != http.StatusConflict || !strings.Contains(page, "you asked for it yourself") {
		t.Errorf("the same person deletes: %d", status)
	}
	must(t, i.desk.Delete(t.Context(), "second", id, time.Now().AddDate(1, 0, 0)))
	page, _, _ = boss.get("/settings/old")
	wants(t, page, "There is none.")
	page, status, _ = boss.get(at)
	if wants(t, page, "Files deleted", "asked by A. Berg"); status != http.StatusOK || strings.Contains(page, "upper.stl") {
		t.Errorf("the page of the case: %d\n%s", status, page)
	}
	for _, p := range []string{"/dentist", "/history", "/clock", "/plan", "/hand-off", "/correct"} {
		if _, status, _ := boss.get(at + p); status != http.StatusOK {
			t.Errorf("%s of a case without files: %d", p, status)
		}
	}
	if _, _, status := boss.drop(at+"/scans", map[string][]byte{"upper.stl": []byte("again")}); status != http.StatusConflict {
		t.Errorf("a file for a case whose files were deleted: %d", status)
	}
}
