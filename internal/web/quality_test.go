package web_test

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"selvage/internal/browser"
	"selvage/internal/casefile"
	"selvage/internal/seating"
	"selvage/limit"
	"selvage/tooth"
)

// worked fills an installation with n pieces of work that were tried in: by two people,
// from three laboratories, of which one does worse.
func (i *installation) worked(t *testing.T, n int, who ...string) {
	t.Helper()
	ctx := context.Background()
	for k := range n {
		id, err := i.desk.NewCase(ctx, who[k%len(who)], fmt.Sprintf("W-%d", k), "")
		must(t, err)
		lab := []string{"North Bench", "North Bench", "South Bench", "East Bench"}[k%4]
		must(t, i.desk.SetOrder(ctx, who[k%len(who)], id, func(c *casefile.Case) error {
			c.Restorations = []casefile.Restoration{{
				Tooth: casefile.CodeOf(tooth.Number([]int{26, 36, 14}[k%3])), Kind: casefile.Crown,
				Material: []limit.Material{"lithium-disilicate", "zirconia-3y"}[k%2], MarginDepth: casefile.MarginDepths()[k%3],
			}}
			c.Laboratory.Name = lab
			return nil
		}))
		c, err := i.desk.Case(ctx, id)
		must(t, err)
		plan, err := i.desk.Plan(ctx, c, "Dr. X", time.Now())
		must(t, err)
		must(t, i.desk.Prescribe(ctx, who[k%len(who)], "Dr. X", id, plan.Hash, time.Now()))
		v := seating.Seated{Outcome: seating.AsMade, Minutes: k % 6}
		switch {
		case k%29 == 3 || lab == "South Bench" && k%16 == 2:
			v.Outcome, v.Seen = seating.Remake, []seating.Fault{seating.FaultMargin, seating.FaultContact, seating.FaultShade}[k%3]
		case lab == "South Bench" && k%8 == 2 || k%11 == 5:
			v.Outcome, v.Minutes = seating.Adjusted, 9
		}
		must(t, i.desk.Seat(ctx, who[k%len(who)], id, v))
	}
}

// TestOwnRatesAreForOneself: the practice's figures are for dentists, the manager and the
// clinical lead; a person's for that person and the lead, on the page and in the table.
// While two alone have work here, nobody's row stands beside the total of both.
func TestOwnRatesAreForOneself(t *testing.T) {
	i := install(t, time.Now)
	boss := i.browser(t)
	boss.first("M. Ander", "482703", "manager")
	for name, role := range map[string]string{"A. Berg": "dentist", "C. Dahl": "dentist", "E. Falk": "assistant", "G. Holm": "lead"} {
		boss.send("/people", url.Values{"name": {name}, "role": {role}, "proof": {"771940"}, "again": {"771940"}})
	}
	enter := func(name string) *chair {
		c := i.browser(t)
		c.in(name, "771940")
		c.send("/me", url.Values{"old": {"771940"}, "proof": {"615029"}, "again": {"615029"}})
		return c
	}
	berg, dahl, falk, holm := enter("A. Berg"), enter("C. Dahl"), enter("E. Falk"), enter("G. Holm")
	i.worked(t, 24, boss.id("A. Berg"), boss.id("C. Dahl"))
	for _, c := range []*chair{berg, dahl, boss} {
		page, _, _ := c.get("/quality")
		page = page[strings.Index(page, "<main"):]
		wants(t, page, "North Bench", "fewer than three people")
		table, _, _ := c.get("/quality.csv")
		wants(t, table, "all,,24,")
		for _, row := range []string{`row">A. Berg`, `row">C. Dahl`, "person,"} {
			if strings.Contains(page, row) || strings.Contains(table, row) {
				t.Errorf("of two, %s is told beside the total", row)
			}
		}
	}
	all, _, _ := holm.get("/quality")
	wants(t, all, `row">A. Berg`, `row">C. Dahl`) // who leads sees everybody's anyway
	i.worked(t, 3, boss.id("G. Holm"))

	for _, tt := range []struct {
		say   string
		c     *chair
		sees  []string
		never []string
	}{
		{"a dentist", berg, []string{"Right the first time", `row">A. Berg`, "North Bench", "Your own row"}, []string{"C. Dahl", "G. Holm", "fewer than three"}},
		{"the other dentist", dahl, []string{`row">C. Dahl`}, []string{"A. Berg", "G. Holm"}},
		{"the manager", boss, []string{"North Bench"}, []string{"A. Berg", "C. Dahl", "G. Holm"}},
		{"the clinical lead", holm, []string{`row">A. Berg`, `row">C. Dahl`, `row">G. Holm`}, nil},
	} {
		page, status, _ := tt.c.get("/quality")
		if status != http.StatusOK {
			t.Errorf("%s: status %d", tt.say, status)
		}
		page = page[strings.Index(page, "<main"):] // above it stands who is signed in
		wants(t, page, tt.sees...)
		table, _, _ := tt.c.get("/quality.csv")
		for _, name := range tt.never {
			if strings.Contains(page, name) || strings.Contains(table, name) {
				t.Errorf("%s reads of %s", tt.say, name)
			}
		}
	}
	for _, p := range []string{"/quality", "/quality.csv"} {
		if _, status, _ := falk.get(p); status != http.StatusForbidden {
			t.Errorf("an assistant reads %s: status %d", p, status)
		}
	}
	page, status, _ := falk.get("/quality/mine")
	if status != http.StatusOK {
		t.Errorf("one's own page: status %d", status)
	}
	wants(t, page, "Only you see this page", "Nothing counted yet")
	page, _, _ = berg.get("/quality/mine")
	wants(t, page, "of 12: between")
	if _, status, _ := i.browser(t).get("/quality/mine"); status != http.StatusOK && status != http.StatusUnauthorized {
		t.Errorf("nobody's own page: status %d", status)
	}
}

// TestLooksBackSomeMonths: the months that are chosen hold for all of the page and for the
// table, but for what needs a hundred pieces of work.
func TestLooksBackSomeMonths(t *testing.T) {
	var ago atomic.Int64 // months
	ago.Store(6)
	i := install(t, func() time.Time { return time.Now().AddDate(0, -int(ago.Load()), 0) })
	c := i.browser(t)
	at := c.seatable("C-1007")
	c.first("A. Berg", "482703", "dentist", "manager")
	c.send(at+"/alarm", url.Values{"finding": {"1"}, "right": {"no"}})
	c.send(at+"/hand-off", url.Values{"do": {"elsewhere"}})
	c.send(at+"/seated", url.Values{"outcome": {"remake"}, "seen": {"margin"}})
	i.worked(t, 109, "p-one", "p-two", "p-three")
	ago.Store(0)
	c.in("A. Berg", "482703")
	i.worked(t, 3, "p-one", "p-two", "p-three")

	page, _, _ := c.get("/quality")
	wants(t, page, "of 113", "the check at hand-off had spoken of it</dt><dd>1</dd>", "1 of 1; too few to say", `href="/quality.csv?months=0"`, "· all time", "<td>1</td><th scope=\"row\">North Bench")
	page, _, _ = c.get("/quality?months=3")
	wants(t, page, "of 3; too few to say", "Nothing counted", "had spoken of it</dt><dd>0</dd>", `href="/quality.csv?months=3"`, "· all time", "<td>1</td><th scope=\"row\">North Bench")
	table, _, _ := c.get("/quality.csv")
	wants(t, table, "all,,113,", "finding-not-right,")
	table, _, head := c.get("/quality.csv?months=3")
	wants(t, table, "all,,3,", "laboratory,North Bench,2,")
	wants(t, head.Get("Content-Disposition"), "quality-3-months.csv")
	if strings.Contains(table, "finding-") {
		t.Errorf("what was said of findings before is in the table:\n%s", table)
	}
}

// TestBrowserLooksBack looks at the figures of 120 pieces of work, and at one's own.
func TestBrowserLooksBack(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	i := install(t, time.Now)
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist", "manager", "lead")
	at := c.seatable("C-1007")
	s := browse(t, i.url)
	s.Fingers()
	s.Go(s.url + "/who")
	s.post("/who/"+c.id("A. Berg"), "proof=482703")
	s.post(at+"/alarm", "finding=1&right=yes")
	s.post(at+"/decide", "choice=accept&reason=Seen and probed")
	s.post(at+"/hand-off", "do=elsewhere")
	s.Go(s.url + at + "/seat?again=1&end=1")
	s.Says("How it ended")
	browser.Ask[bool](s.Page, `(document.querySelector("select[name=seen]").value = "margin", true)`)
	s.Touch("to be made again")
	s.Says("What the check had said at hand-off")
	s.Touch("Note the view")
	s.Says("Likely from")
	s.Touch("the scan")
	s.Touch("Note it")
	s.Says("Say it anew")
	s.Go(s.url + "/board")
	s.Touch("How the work turned out")
	s.Says("0 of 1; too few to say")
	s.Says("from a hundred pieces of work on; there are 1")
	s.Until(`[...document.querySelectorAll("dt")].some((d) => d.textContent.includes("had spoken of it") && d.nextElementSibling.textContent === "1")`)
	s.looked("quality-few")
	i.worked(t, 120, "p-one", "p-two")
	s.Go(s.url + "/quality")
	s.Says("of 121")
	s.looked("quality")
	browser.Ask[bool](s.Page, `document.querySelectorAll("details").forEach((d) => { d.open = true; }), true`)
	s.sound("quality, open")
	if n := browser.Ask[int](s.Page, `document.querySelectorAll("svg.chart[role=img][aria-label]").length`); n != 3 {
		t.Errorf("%d charts with words, want two funnels and one sum", n)
	}
	browser.Ask[bool](s.Page, `(document.querySelectorAll("main > *").forEach((e) => { if (!e.querySelector("svg.chart")) { e.remove(); } }), true)`)
	s.looked("quality-charts")
	browser.Ask[bool](s.Page, `(document.querySelectorAll("svg.chart")[1].parentElement.querySelectorAll("h3, svg.chart, table, p").forEach((e, k, all) => { if (!e.matches("h3:last-of-type, h3:last-of-type ~ *")) { e.remove(); } }), true)`)
	s.looked("quality-sum")
	s.Go(s.url + "/quality/mine")
	s.Says("Only you see this page")
	s.Says("0 of 1; too few to say")
	if n := browser.Ask[int](s.Page, `document.querySelectorAll("svg.chart circle.ring").length`); n != 1 {
		t.Errorf("%d cases whose first check asked for a scan are drawn, want 1", n)
	}
	s.looked("quality-mine")
}
