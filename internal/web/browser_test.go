package web_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"selvage/internal/browser"
	"selvage/internal/web/ui"
)

var update = flag.Bool("update", false, "keep what the pages look like now")

// golden holds the pages' looks.
func golden() browser.Golden {
	return browser.Golden{Dir: filepath.Join("testdata", "screens"), Update: *update, Full: os.Getenv("SELVAGE_SHOTS")}
}

// screen is a real browser on the chair's pages.
type screen struct {
	browser.Page
	url string
}

// browse starts Chromium on the pages of an address.
func browse(t *testing.T, url string) screen {
	t.Helper()
	lacks := ""
	if !ui.Built() {
		lacks = "the scripts are not bundled; run: make ui"
	}
	s := screen{browser.Page{T: t, Ctx: browser.Start(t, 14*time.Minute, lacks)}, url}
	s.Look(false)
	s.Size(1366, 768)
	return s
}

// another opens a second screen of the same browser.
func (s screen) another() (screen, context.CancelFunc) {
	o := s
	var cancel context.CancelFunc
	o.Ctx, cancel = chromedp.NewContext(s.Ctx)
	o.Look(false)
	o.Size(1366, 768)
	return o, cancel
}

// small lists what is tapped and smaller than 76 CSS pixels both ways, links within a
// sentence left out.
const small = `JSON.stringify([...document.querySelectorAll("button, .big, .tap, .pick, select, summary")]
	.filter((e) => e.offsetParent !== null && e.closest("scan-view") === null)
	.filter((e) => { const b = e.getBoundingClientRect(); return b.height < 75.5; })
	.map((e) => e.innerText.slice(0, 30) + " " + e.getBoundingClientRect().height))`

// sound lets axe-core look at the page (WCAG 2.2 A and AA) and measures what is tapped.
func (s screen) sound(name string) {
	s.T.Helper()
	axe, err := os.ReadFile(filepath.Join("ui", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		s.T.Fatalf("axe-core is not installed; run: make ui (%v)", err)
	}
	s.Until(`document.readyState === "complete"`) // a page whose style is still on its way is measured without it
	browser.Ask[bool](s.Page, string(axe)+"; true")
	browser.Ask[string](s.Page, `window.axeSaid = undefined; axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
		.then((r) => { window.axeSaid = r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.target.join(" ")).join(", ")).join("\n"); }); ""`)
	s.Until("window.axeSaid !== undefined")
	if found := browser.Ask[string](s.Page, "window.axeSaid"); found != "" {
		s.T.Errorf("%s: axe-core finds\n%s", name, found)
	}
	if s := browser.Ask[string](s.Page, small); s != "[]" {
		name += " holds targets that are too small for a glove: " + s
	} else {
		name = ""
	}
	if name != "" {
		s.T.Error(name)
	}
}

// fill writes into a field of the page.
func (s screen) fill(name, text string) {
	s.T.Helper()
	s.Do(chromedp.SendKeys(`input[name="`+name+`"]:not([type=hidden])`, text))
}

// rest waits until the model, where there is one, stands still.
func (s screen) rest() {
	s.T.Helper()
	s.Until(`((v) => v === null || v.dataset.state === "ready" || v.dataset.state === "nowebgl")(document.querySelector("scan-view"))`)
	if browser.Ask[bool](s.Page, `document.querySelector("scan-view") !== null`) {
		time.Sleep(200 * time.Millisecond) // it hears of a change of size
		s.Until(`((v) => v.dataset.state !== "ready" || v.frame === 0 && !v.stale && !v.moving)(document.querySelector("scan-view"))`)
		time.Sleep(200 * time.Millisecond) // what was drawn is shown
	}
	s.Until(`[...document.images].every((i) => i.complete || i.loading === "lazy")`)
}

// looked lets axe-core look at a page and compares it with the kept pictures.
func (s screen) looked(name string) {
	s.T.Helper()
	s.sound(name)
	golden().Check(s.Page, name, s.rest)
}

// lookedAt is looked for a part of a page, below what is first seen.
func (s screen) lookedAt(name, selector string) {
	s.T.Helper()
	s.sound(name)
	golden().Check(s.Page, name, func() {
		browser.Ask[bool](s.Page, fmt.Sprintf(`(document.querySelector(%q).scrollIntoView({behavior: "instant", block: "start"}), true)`, selector))
		s.rest()
	})
}

// dark lets axe-core look at a page in the dark: the inks are the same on every page.
func (s screen) dark(name string) {
	s.T.Helper()
	s.Look(true)
	s.sound(name + " in the dark")
	s.Look(false)
}

// scansOnDisk writes the made scans into a folder and returns their paths.
func scansOnDisk(t *testing.T) []string {
	t.Helper()
	scans, err := made()
	must(t, err)
	dir := t.TempDir()
	var paths []string
	for _, name := range []string{"working.stl", "opposing.stl", "bite.stl", "before.stl"} {
		path := filepath.Join(dir, name)
		must(t, os.WriteFile(path, scans[name], 0o600))
		paths = append(paths, path)
	}
	return paths
}

// ready waits until the answer and its model stand.
func (s screen) ready() {
	s.T.Helper()
	s.Until(`document.querySelector("main")?.dataset.step === "answer"`)
	s.Until(`document.querySelector("scan-view")?.dataset.state === "ready"`)
}

// here is the path of the page.
func (s screen) here() string {
	s.T.Helper()
	return strings.TrimPrefix(browser.Ask[string](s.Page, "location.pathname"), "/")
}

// packs goes through the clock: a cord in, and out to scan.
func (s screen) packs(at string) {
	s.T.Helper()
	s.Go(s.url + "/" + at + "/clock")
	s.Says("How is the sulcus opened?")
	s.looked("clock-methods")
	s.Touch("Cord with aluminium chloride")
	s.Says("Leave it in")
	s.Touch("One cord in")
	s.Says("Cords still in: 1.")
	s.Touch("Cord out")
	s.Says("Scan now")
	s.sound("clock")
}

// TestBrowserByTouch goes the whole way with a finger: from dropped files to the dentist's
// signature, on two screens. Every page is looked at by axe-core and compared with how it
// looked when somebody looked at it last. Nothing may be loaded that the policy forbids.
func TestBrowserByTouch(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	s := browse(t, sit(t).url)
	s.Fingers()
	s.Go(s.url + "/")
	s.Says("Drop the scans here")
	s.looked("start")
	s.dark("start")
	browser.Ask[bool](s.Page, `(window.violations = 0, document.addEventListener("securitypolicyviolation", () => { window.violations++; }), true)`)
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, scansOnDisk(t)))
	s.Says("Which tooth was prepared?")
	s.looked("quarter")
	s.Touch("upper left")
	s.Says("first molar")
	s.looked("tooth")
	s.Touch("first molar")
	s.Says("Measuring")
	s.Touch("lithium disilicate")
	s.Says("Length of the margin") // the parts come before the verdict
	if at := browser.Ask[string](s.Page, `document.querySelector("main").dataset.step`); at == "busy" {
		s.sound("measuring")
	}
	s.ready() // without a reload by hand
	s.Says("Scan again")
	s.looked("answer")
	s.dark("answer")
	at := s.here()
	other, done := s.another()
	defer done()
	other.Go(s.url + "/" + at)
	other.Says("Scan again")
	s.signs()
	other.packs(at)
	other.Go(s.url + "/" + at + "/history")
	other.Says("signed")
	other.sound("history")
	for page, path := range map[string]string{"plan": at + "/plan", "hand-off": at + "/hand-off", "practice": "practice"} {
		other.Go(s.url + "/" + path)
		other.Until(`document.querySelector("main h1, main h2") !== null`)
		other.looked(page)
	}
	s.corrects(at, other)
	for _, p := range []string{"people", "me", "envelope"} {
		other.Go(s.url + "/" + p)
		other.Says("A. Berg")
		other.looked(p)
	}
	other.Touch("Lock")
	other.Says("Who is here?")
	other.looked("who")
	other.Touch("A. Berg")
	other.Says("Your number")
	other.looked("pad")
	if n := browser.Ask[int](s.Page, "window.violations ?? 0"); n != 0 {
		t.Errorf("%d times something was to be loaded that the policy forbids", n)
	}
}

// signs makes the first person, decides and signs, with a finger.
func (s screen) signs() {
	s.T.Helper()
	s.Touch("Show the dentist")
	s.Says("least room to the opposing tooth")
	s.looked("dentist-nobody")
	s.Touch("Make the first person")
	s.Says("That is me")
	s.looked("first")
	s.fill("name", "A. Berg")
	s.fill("proof", "482703")
	s.fill("again", "482703")
	s.Touch("That is me")
	s.Says("seal it in an envelope")
	s.sound("code")
	s.Touch("It is kept")
	s.Says("Was the check right?")
	s.looked("dentist")
	s.Touch("Seen and probed")
	s.Touch("Accept")
	s.Says("Decided:")
	s.Touch("Sign")
	s.Says("your number once more")
	s.looked("signing")
	for _, d := range "482703" {
		s.Touch(string(d))
	}
	s.Touch("Sign")
	s.Says("Signed by A. Berg")
	s.sound("signed")
}

// corrects puts the margin and a tooth right with a finger, and takes one back. The other
// screen, which shows the check, sees its word vanish by itself.
func (s screen) corrects(at string, other screen) {
	s.T.Helper()
	other.Go(s.url + "/" + at)
	other.Says("Scan again")
	s.Go(s.url + "/" + at + "/correct")
	s.Says("What is wrong?")
	s.looked("correct")
	s.Touch("The margin runs elsewhere")
	s.model()
	s.looked("correct-margin")
	s.modelAt(0.5, 0.42)
	s.Says("Points: 1")
	s.modelAt(0.52, 0.44)
	s.Says("Points: 2")
	s.Touch("Take the last point back")
	s.Says("Points: 1")
	s.Touch("The margin passes these points")
	s.Says("Measuring")
	other.Until(`document.querySelector("main")?.dataset.step === "busy"`)
	s.ready()
	s.Go(s.url + "/" + at + "/correct?what=tooth")
	s.model()
	s.looked("correct-tooth")
	s.Touch("25")
	s.Says("Which tooth is this?")
	s.looked("correct-number")
	s.Touch("Back to the check")
	s.ready()
	s.Go(s.url + "/" + at + "/correct")
	s.Says("Margin put through points: 1")
	s.Touch("take back")
	s.Says("Measuring")
}

// model waits for the model of a page that is not a check's.
func (s screen) model() {
	s.T.Helper()
	s.Until(`document.querySelector("scan-view")?.dataset.state === "ready"`)
	s.rest()
}

// modelAt touches the model at a share of its width and height.
func (s screen) modelAt(x, y float64) {
	s.T.Helper()
	type place struct{ X, Y float64 }
	p := browser.Ask[place](s.Page, fmt.Sprintf(`(() => {
		const e = document.querySelector("scan-view").shadowRoot.querySelector(".stage");
		e.scrollIntoView({block: "center", behavior: "instant"});
		const b = e.getBoundingClientRect();
		return {X: b.x + %g * b.width, Y: b.y + %g * b.height};
	})()`, x, y))
	s.TouchAt(p.X, p.Y)
}

// TestBrowserByKeyboard goes the same way by the keyboard alone.
func TestBrowserByKeyboard(t *testing.T) {
	walk(t, func(s screen, words string) {
		s.Reach(kb.Tab, words)
		if browser.Ask[bool](s.Page, `document.activeElement.type === "radio"`) {
			s.Key(" ")
		} else {
			s.Key(kb.Enter)
		}
	}, nil)
}

// TestBrowserByPedal goes the same way by the three pedals of a foot switch, laid on keys
// that a person chose: next, before, press; a fourth draws the curtain.
func TestBrowserByPedal(t *testing.T) {
	laid := map[string]string{"F8": "F13", "F2": "F14", "F4": "F15", "F9": "F16"}
	walk(t, func(s screen, words string) {
		s.Reach(kb.F13, words)
		s.Key(kb.F15)
	}, laid)
}

// walk goes from dropped files to the signature; press brings the focus to a control and
// presses it. Where keys are laid elsewhere the person who signs has laid them before.
func walk(t *testing.T, press func(s screen, words string), laid map[string]string) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	home := sit(t)
	s := browse(t, home.url)
	s.Go(s.url + "/first")
	s.fill("name", "A. Berg")
	s.fill("proof", "482703")
	s.fill("again", "482703")
	s.Key(kb.Enter)
	s.Says("seal it in an envelope")
	if laid != nil {
		s.Go(s.url + "/me")
		browser.Ask[bool](s.Page, `(document.querySelectorAll("details").forEach((d) => { d.open = true; }), true)`)
		for usual, key := range laid {
			s.Do(chromedp.Focus(`input[name="key.` + usual + `"]`))
			s.Key(map[string]string{"F13": kb.F13, "F14": kb.F14, "F15": kb.F15, "F16": kb.F16}[key])
		}
		s.Key(kb.Enter)
		s.Until(`document.body.dataset.keys?.includes("F13")`)
	}
	s.Go(s.url + "/")
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, scansOnDisk(t)))
	s.Says("Which tooth was prepared?")
	press(s, "upper left")
	s.Says("first molar")
	press(s, "first molar")
	s.Says("Measuring")
	press(s, "lithium disilicate")
	s.ready()
	if laid != nil {
		s.Key(kb.F16)
		s.Until(`document.querySelector(".curtain") !== null`)
		s.Key(kb.F15)
		s.Until(`document.querySelector(".curtain") === null`)
	}
	press(s, "Show the dentist")
	s.Says("Was the check right?")
	press(s, "Seen and probed")
	s.Until(`document.querySelector("input[name=reason]:checked") !== null`)
	press(s, "Accept")
	s.Says("Decided:")
	press(s, "Sign")
	s.Says("your number once more")
	if laid == nil {
		s.Until(`document.activeElement?.name === "proof"`) // by itself
		s.Key("482703" + kb.Enter)
	} else {
		for _, d := range "482703" {
			press(s, string(d))
		}
		press(s, "Sign")
	}
	s.Says("Signed by A. Berg")
}
