package ui

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// browser starts Chromium, or skips the test where there is none or the scripts are
// not bundled. In CI both must be there.
func browser(t *testing.T) context.Context {
	t.Helper()
	why := ""
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	switch {
	case path == "":
		why = "no Chromium; run: make deps"
	case !Built():
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
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return ctx
}

// page is a browser's page that shows a story.
type page struct {
	t   *testing.T
	ctx context.Context
}

func (p page) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, steps...); err != nil {
		p.t.Fatal(err)
	}
}

// ask evaluates an expression in the page.
func ask[T any](p page, js string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](js))
	if err != nil {
		p.t.Fatalf("%s: %v", js, err)
	}
	return v
}

// until waits for an expression to hold.
func (p page) until(js string) {
	p.t.Helper()
	wait := chromedp.Poll[bool]("Boolean("+js+")", chromedp.WithPollingInterval(50*time.Millisecond), chromedp.WithPollingTimeout(time.Minute))
	if _, err := chromedp.Run(p.ctx, wait); err != nil {
		p.t.Fatalf("waiting for %s: %v\n%s", js, err, ask[string](p, "JSON.stringify(noted.slice(-8))"))
	}
}

// view is the element, in the page's own words.
const view = `document.querySelector("scan-view")`

// still waits until the scene is loaded and the picture has come to rest.
func (p page) still() {
	p.t.Helper()
	p.until(view + `.dataset.state === "ready"`)
	p.until(`noted.findLast((n) => n.kind === "drawn")?.detail.still`)
}

// act does what a button does, and waits for the picture.
func (p page) act(name string) {
	p.t.Helper()
	if !ask[bool](p, "noted.length = 0, "+view+`.act("`+name+`")`) {
		p.t.Fatalf("there is no %q", name)
	}
	p.until(`noted.findLast((n) => n.kind === "drawn")?.detail.still`)
}

// shot takes a picture of the page; where SELVAGE_SHOTS names a folder it is kept.
func (p page) shot(name string) image.Image {
	p.t.Helper()
	data, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Fatal(err)
	}
	if dir := os.Getenv("SELVAGE_SHOTS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".png"), data, 0o644); err != nil {
			p.t.Fatal(err)
		}
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		p.t.Fatal(err)
	}
	return img
}

func (p page) media(dark, still bool) {
	p.t.Helper()
	features := []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: map[bool]string{true: "dark", false: "light"}[dark]},
		{Name: "prefers-reduced-motion", Value: map[bool]string{true: "reduce", false: "no-preference"}[still]},
	}
	if _, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		p.t.Fatal(err)
	}
}

// TestView opens the story as a person would and reads what the browser drew.
func TestView(t *testing.T) {
	s := madeStory()
	if dir := os.Getenv("SELVAGE_STORY_CASE"); dir != "" {
		s = caseStory(t, dir)
	}
	srv := s.serve(t)
	p := page{t, browser(t)}
	p.media(false, true)
	p.do(chromedp.EmulateViewport(1366, 768), chromedp.Navigate(srv.URL+"/"))
	p.still()
	p.shot("pc-light")
	for _, a := range []string{"map:clearance", "look:buccal", "cut:along", "spot:2"} {
		p.act(a)
		p.shot(a)
	}
	p.media(true, true)
	p.act("cut:none")
	p.act("look:path")
	p.shot("pc-dark")
}
