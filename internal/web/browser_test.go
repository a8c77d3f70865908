package web_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"selvage/internal/web/ui"
)

// screen is a real browser at one size.
type screen struct {
	t   *testing.T
	ctx context.Context
	url string
}

// browse starts Chromium on the chair's pages. Without it, or without the bundled
// scripts, the test is skipped loudly; in CI it fails.
func browse(t *testing.T, c *chair) screen {
	t.Helper()
	path, err := exec.LookPath("chromium")
	why := ""
	if err != nil {
		why = "no Chromium; run: make deps"
	} else if !ui.Built() {
		why = "the scripts are not bundled; run: make ui"
	}
	if why != "" {
		if os.Getenv("CI") != "" {
			t.Fatal(why)
		}
		t.Skip("SKIPPED: " + why)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
	)
	ctx, cancel := context.WithTimeout(t.Context(), 8*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return screen{t: t, ctx: ctx, url: c.url}
}

func (s screen) do(steps ...chromedp.Action[chromedp.Void]) {
	s.t.Helper()
	if err := chromedp.Do(s.ctx, steps...); err != nil {
		s.t.Fatal(err)
	}
}

func evaluate[T any](s screen, js string) T {
	s.t.Helper()
	v, err := chromedp.Run(s.ctx, chromedp.Evaluate[T](js))
	if err != nil {
		s.t.Fatalf("%s: %v", js, err)
	}
	return v
}

// until waits for an expression to hold, also where the page is another meanwhile.
func (s screen) until(js string) {
	s.t.Helper()
	end := time.Now().Add(4 * time.Minute)
	for time.Now().Before(end) && s.ctx.Err() == nil {
		if ok, err := chromedp.Run(s.ctx, chromedp.Evaluate[bool]("Boolean("+js+")")); err == nil && ok {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.t.Fatalf("waiting for %s\n%s", js, evaluate[string](s, inside))
}

// inside is what a page shows, the beginning of it.
const inside = `(document.body?.innerText ?? "").slice(0, 600)`

// says waits until the page shows some words.
func (s screen) says(words string) {
	s.t.Helper()
	s.until(fmt.Sprintf(`(document.body?.innerText ?? "").includes(%q)`, words))
}

// tap clicks the button or link that bears some words.
func (s screen) tap(words string) {
	s.t.Helper()
	found := evaluate[bool](s, fmt.Sprintf(`(() => {
		const all = [...document.querySelectorAll("button, a, label, summary")].filter((e) => e.offsetParent !== null);
		const hit = all.find((e) => e.innerText.trim().startsWith(%q));
		hit?.click();
		return hit !== undefined;
	})()`, words))
	if !found {
		s.t.Fatalf("there is nothing to tap that says %q:\n%s", words, evaluate[string](s, inside))
	}
}

// small lists what is tapped and smaller than 76 CSS pixels both ways, links within a
// sentence left out.
const small = `JSON.stringify([...document.querySelectorAll("button, .big, .tap, .pick, select, summary")]
	.filter((e) => e.offsetParent !== null && e.closest("scan-view") === null)
	.filter((e) => { const b = e.getBoundingClientRect(); return b.height < 75.5; })
	.map((e) => e.innerText.slice(0, 30) + " " + e.getBoundingClientRect().height))`

// sound lets axe-core look at the page (WCAG 2.2 A and AA) and measures what is tapped.
func (s screen) sound(name string) {
	s.t.Helper()
	axe, err := os.ReadFile(filepath.Join("ui", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		s.t.Fatalf("axe-core is not installed; run: make ui (%v)", err)
	}
	evaluate[bool](s, string(axe)+"; true")
	evaluate[string](s, `window.axeSaid = undefined; axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
		.then((r) => { window.axeSaid = r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.target.join(" ")).join(", ")).join("\n"); }); ""`)
	s.until("window.axeSaid !== undefined")
	if found := evaluate[string](s, "window.axeSaid"); found != "" {
		s.t.Errorf("%s: axe-core finds\n%s", name, found)
	}
	if s := evaluate[string](s, small); s != "[]" {
		name += " holds targets that are too small for a glove: " + s
	} else {
		name = ""
	}
	if name != "" {
		s.t.Error(name)
	}
}

// fill writes into a field of the page.
func (s screen) fill(name, text string) {
	s.t.Helper()
	s.do(chromedp.SendKeys(`input[name="`+name+`"]:not([type=hidden])`, text))
}

func (s screen) media(dark bool) {
	s.t.Helper()
	features := []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: map[bool]string{true: "dark", false: "light"}[dark]},
		{Name: "prefers-reduced-motion", Value: "reduce"},
	}
	if _, err := chromedp.Call(s.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		s.t.Fatal(err)
	}
}

// shot keeps a picture of the page where SELVAGE_SHOTS names a folder.
func (s screen) shot(name string) {
	s.t.Helper()
	dir := os.Getenv("SELVAGE_SHOTS")
	if dir == "" {
		return
	}
	for _, size := range []struct {
		name string
		w, h int64
	}{{"pc", 1366, 768}, {"tablet", 820, 1180}, {"phone", 390, 844}} {
		for _, dark := range []bool{false, true} {
			s.media(dark)
			s.do(chromedp.EmulateViewport(size.w, size.h))
			time.Sleep(300 * time.Millisecond) // the view draws again
			data, err := chromedp.Run(s.ctx, chromedp.CaptureScreenshot())
			must(s.t, err)
			file := fmt.Sprintf("%s-%s-%s.png", name, size.name, map[bool]string{true: "dark", false: "light"}[dark])
			must(s.t, os.WriteFile(filepath.Join(dir, file), data, 0o644))
		}
	}
	s.media(false)
	s.do(chromedp.EmulateViewport(1366, 768))
}

// packs goes through the clock: a cord in, and out to scan.
func (s screen) packs(at string) {
	s.t.Helper()
	s.do(chromedp.Navigate(s.url + "/" + at + "/clock"))
	s.says("How is the sulcus opened?")
	s.tap("Cord with aluminium chloride")
	s.says("Leave it in")
	s.tap("One cord in")
	s.says("Cords still in: 1.")
	s.tap("Cord out")
	s.says("Scan now")
	s.sound("clock")
}

// TestBrowserFromFilesToSignature goes the whole way by taps in a real browser; every
// screen is looked at by axe-core. The answer must come by itself, on two screens.
func TestBrowserFromFilesToSignature(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	c := sit(t)
	s := browse(t, c)
	dir := t.TempDir()
	scans, err := made()
	must(t, err)
	var paths []string
	for name, data := range scans {
		path := filepath.Join(dir, name)
		must(t, os.WriteFile(path, data, 0o600))
		paths = append(paths, path)
	}
	s.media(false)
	s.do(chromedp.EmulateViewport(1366, 768), chromedp.Navigate(s.url+"/"))
	s.says("Drop the scans here")
	s.sound("start")
	s.shot("start")
	evaluate[bool](s, `window.violations = 0; document.addEventListener("securitypolicyviolation", () => { window.violations++; }); true`)
	s.do(chromedp.SetUploadFiles(`input[type=file]`, paths))
	s.says("Which tooth was prepared?")
	s.sound("quarter")
	s.shot("quarter")
	s.tap("upper left")
	s.says("first molar")
	s.sound("tooth")
	s.shot("tooth")
	s.tap("first molar")
	s.says("Measuring")
	s.sound("measuring")
	s.shot("measuring")
	s.tap("lithium disilicate")
	s.says("Scan again") // without a reload by hand
	s.until(`document.querySelector("scan-view")?.dataset.state === "ready"`)
	s.sound("answer")
	s.shot("answer")
	at := strings.TrimPrefix(evaluate[string](s, "location.pathname"), "/")
	other := s
	var cancel context.CancelFunc
	other.ctx, cancel = chromedp.NewContext(s.ctx)
	defer cancel()
	other.do(chromedp.Navigate(s.url + "/" + at))
	other.says("Scan again")
	s.tap("Show the dentist")
	s.says("least room to the opposing tooth")
	s.sound("dentist")
	s.shot("nobody")
	s.tap("Make the first person")
	s.says("That is me")
	s.sound("first person")
	s.shot("first")
	s.fill("name", "A. Berg")
	s.fill("proof", "482703")
	s.fill("again", "482703")
	s.tap("That is me")
	s.says("seal it in an envelope")
	s.sound("code")
	s.shot("code")
	s.tap("It is kept")
	s.says("Was the check right?")
	s.shot("dentist")
	s.tap("Seen and probed")
	s.tap("Accept")
	s.says("Decided:")
	s.tap("Sign")
	s.says("your number once more")
	s.sound("signing")
	s.shot("signing")
	for _, d := range "482703" {
		s.tap(string(d))
	}
	s.tap("Sign")
	s.says("Signed by A. Berg")
	s.sound("signed")
	other.packs(at)
	other.do(chromedp.Navigate(s.url + "/" + at + "/history"))
	other.says("signed")
	other.sound("history")
	for _, p := range []string{"people", "me", "envelope"} {
		other.do(chromedp.Navigate(s.url + "/" + p))
		other.says("A. Berg")
		other.sound(p)
		other.shot(p)
	}
	other.tap("Lock")
	other.says("Who is here?")
	other.sound("who")
	other.shot("who")
	other.tap("A. Berg")
	other.says("Your number")
	other.sound("pad")
	other.shot("pad")
	if n := evaluate[int](s, "window.violations ?? 0"); n != 0 {
		t.Errorf("%d times something was to be loaded that the policy forbids", n)
	}
}
