package web_test

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"selvage/internal/browser"
	"selvage/internal/drill"
	"selvage/internal/store"
)

// madeCase begins a training case and waits until it is made.
func (c *chair) madeCase() (at string) {
	c.t.Helper()
	page, at, status := c.send("/drill", nil)
	if status != http.StatusOK {
		c.t.Fatalf("status %d", status)
	}
	for end := time.Now().Add(4 * time.Minute); strings.Contains(page, "is being made"); {
		if time.Now().After(end) {
			c.t.Fatal("the training case was not made")
		}
		wants(c.t, page, `class="training-mark"`)
		time.Sleep(200 * time.Millisecond)
		page, _, _ = c.get(at)
	}
	return at
}

// TestTrainingIsNoCase goes through a training case without a script: nothing is told
// before it ends, every page says that it is training, nobody else finds it, and neither
// the start page, the board, the figures, their table, one's own rates, what other programs
// read nor what the manager sees know of it.
func TestTrainingIsNoCase(t *testing.T) {
	i := install(t, time.Now)
	boss := i.browser(t)
	start, _, _ := boss.get("/")
	wants(t, start, `href="/drill"`) // before there is any case
	boss.first("M. Ander", "482703", "manager", "dentist", "lead")
	i.worked(t, 3, boss.id("M. Ander"))
	figures := func() string {
		page, _, _ := boss.get("/quality")
		table, _, _ := boss.get("/quality.csv")
		return page + table
	}
	before := figures()
	board, _, _ := boss.get("/board")

	c := i.helper(t, boss, "E. Falk", "615029")
	at := c.madeCase()
	mark := `class="training-mark"`
	page, _, _ := c.get(at)
	wants(t, page, mark, "side 1 of 6", "From above", "/picture/occlusal/0")
	for _, tell := range []string{"There was", "The program said"} {
		if strings.Contains(page, tell) {
			t.Errorf("it is told before it ends: %s", tell)
		}
	}
	plain, status, h := c.get(at + "/picture/mesial/0")
	if status != http.StatusOK || h.Get("Content-Type") != "image/png" {
		t.Errorf("the picture: status %d", status)
	}
	for _, p := range []string{"/picture/mesial/7", "/picture/mesial/x", "/picture/inside/0"} {
		if _, status, _ := c.get(at + p); status != http.StatusNotFound {
			t.Errorf("%s: status %d", p, status)
		}
	}
	for _, p := range []string{at, at + "/picture/mesial/0"} {
		if _, status, _ := boss.get(p); status != http.StatusNotFound {
			t.Errorf("another person opens %s: status %d", p, status)
		}
	}
	if _, _, status := boss.send(at, url.Values{"place": {"mesial"}, "answer": {"nothing"}}); status != http.StatusNotFound {
		t.Errorf("another person answers: status %d", status)
	}
	if _, _, status := c.send(at+"/end", nil); status != http.StatusConflict {
		t.Errorf("it ends before every side has an answer: status %d", status)
	}
	for _, p := range drill.Places() {
		page, _, _ = c.send(at, url.Values{"place": {string(p)}, "answer": {"nothing"}})
	}
	wants(t, page, mark, "Run the check and tell me")
	page, _, _ = c.send(at+"/end", nil)
	wants(t, page, mark, "of 6 sides right", "There was", "The program said", "You said")
	if _, _, status := c.send(at, url.Values{"place": {"mesial"}, "answer": {"scan-again"}}); status != http.StatusConflict {
		t.Errorf("an answer after it was told: status %d", status)
	}
	if again, _, _ := c.get(at + "/picture/mesial/0"); len(again) == 0 || len(plain) == 0 {
		t.Error("a picture is empty")
	}
	page, _, _ = c.get("/drill")
	wants(t, page, mark, "of 6 sides right", "Only you see this page")
	page, _, _ = c.get("/quality/mine")
	wants(t, page, "Training cases: 1. In the last", "Nothing counted yet", "You brought no scans")

	if now := figures(); now != before {
		t.Error("the practice's figures changed")
	}
	if now, _, _ := boss.get("/board"); now != board {
		t.Error("the board changed")
	}
	if page, _, _ := boss.get("/drill"); strings.Contains(page, "of 6 sides right") {
		t.Error("another person's practice is listed")
	}
	page, _, _ = boss.get("/people")
	if strings.Contains(page, "drill") {
		t.Error("the manager sees that somebody practised")
	}
	cases, err := i.desk.Recent(context.Background(), 100)
	must(t, err)
	if len(cases) != 3 {
		t.Errorf("%d cases, want the three that were worked", len(cases))
	}
	var events []store.Event
	events, err = i.desk.Ledger().Since(context.Background(), 0, 1000)
	must(t, err)
	practised := 0
	for _, e := range events {
		if drill.Private(e) {
			practised++
			if e.Case != "" { // other programs are told of events of cases alone
				t.Errorf("an event of practice belongs to case %s", e.Case)
			}
		}
	}
	if practised != 2+len(drill.Places()) {
		t.Errorf("%d events of practice", practised)
	}
}

// TestBrowserPractisesByTouch judges a made case with a finger and is told. The case is one
// that is the same on every run.
func TestBrowserPractisesByTouch(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	i := install(t, time.Now)
	must(t, i.desk.Ledger().Change(context.Background(), func(tx *store.Tx) error {
		_, err := tx.Add("", "chair", "drill-begun", map[string]any{"drill": "d-one", "recipe": "margin-and-room", "number": 11})
		return err
	}))
	s := browse(t, i.url)
	s.Fingers()
	s.Go(s.url + "/drill")
	s.Says("Begin a training case")
	s.looked("drills")
	s.Touch("Go on where you were")
	s.Says("side 1 of 6")
	s.Says("right first molar · 16 (#3, UR6)") // a bare 16 is a wisdom tooth where teeth are counted to 32
	for k := range drill.Places() {
		s.Until(`[...document.images].every((i) => i.complete && i.naturalWidth === 720)`)
		if k == 1 {
			s.Says("side 2 of 6")
			s.looked("drill-side")
		}
		if k == 5 {
			s.Says("Both jaws closed")
			s.looked("drill-room")
		}
		s.Touch([]string{"Nothing to do", "Scan again", "Nothing to do", "Scan again", "Nothing to do", "Get the dentist"}[k])
		s.Until(`document.querySelectorAll(".steps a.good").length === ` + string(rune('1'+k)))
	}
	s.Touch("Run the check and tell me")
	s.Says("5 of 6 sides right")
	s.Says("Missed: 0. Asked for where nothing was: 1. Asked for something else: 0.")
	browser.Ask[bool](s.Page, `(document.querySelectorAll("img").forEach((i) => { i.loading = "eager"; }), true)`)
	s.Until(`[...document.images].every((i) => i.complete && i.naturalWidth === 720)`)
	s.looked("drill-told")
	s.Touch("My training cases")
	s.Until(`location.pathname === "/drill" && document.readyState === "complete"`)
	s.Says("5 of 6 sides right")
	if browser.Ask[bool](s.Page, `document.body.textContent.includes("Only you see this page")`) {
		t.Error("nobody is signed in: whoever comes to the chair sees the page")
	}
	s.sound("drills, one")
}
