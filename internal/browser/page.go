package browser

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// Page is a page of a browser, and the test that looks at it.
type Page struct {
	T   *testing.T
	Ctx context.Context
}

// Do runs steps.
func (p Page) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.T.Helper()
	if err := chromedp.Do(p.Ctx, steps...); err != nil {
		p.T.Fatal(err)
	}
}

// Ask evaluates an expression in the page.
func Ask[T any](p Page, js string) T {
	p.T.Helper()
	const patience = 5 * time.Second
	for end := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
		v, err := chromedp.Run(p.Ctx, chromedp.Evaluate[T](js))
		if err == nil {
			return v
		}
		// A page that has just begun to come has no body yet.
		if !strings.Contains(err.Error(), "properties of null") || time.Now().After(end) {
			p.T.Fatalf("%s: %v", js, err)
		}
	}
}

// patience is how long a page may take to show something, on a machine that does other
// things as well.
const patience = 90 * time.Second

// Until waits for an expression to hold, also where the page is another meanwhile.
func (p Page) Until(js string) {
	p.T.Helper()
	end := time.Now().Add(patience)
	for time.Now().Before(end) && p.Ctx.Err() == nil {
		if ok, err := chromedp.Run(p.Ctx, chromedp.Evaluate[bool]("Boolean("+js+")")); err == nil && ok {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.T.Fatalf("waiting for %s\n%s", js, p.Inside())
}

// Inside is what a page shows, the beginning of it.
func (p Page) Inside() string {
	p.T.Helper()
	return Ask[string](p, `(document.body?.innerText ?? "").slice(0, 600)`)
}

// Says waits until the page shows some words.
func (p Page) Says(words string) {
	p.T.Helper()
	p.Until(fmt.Sprintf(`(document.body?.innerText ?? "").includes(%q)`, words))
}

// Go opens an address.
func (p Page) Go(url string) {
	p.T.Helper()
	p.Do(chromedp.Navigate(url))
}

// Size sets the size of the screen, CSS pixels.
func (p Page) Size(w, h int64) {
	p.T.Helper()
	p.Do(chromedp.EmulateViewport(w, h))
}

// Look sets a dark or a light screen; nothing moves by itself.
func (p Page) Look(dark bool) {
	p.T.Helper()
	features := []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: map[bool]string{true: "dark", false: "light"}[dark]},
		{Name: "prefers-reduced-motion", Value: "reduce"},
	}
	if _, err := chromedp.Call(p.Ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		p.T.Fatal(err)
	}
}

// Slow lets the network be slow: so many bytes a second each way, after a delay. Zero
// bytes: as fast as it is.
func (p Page) Slow(bytes float64, delay time.Duration) {
	p.T.Helper()
	if bytes == 0 {
		bytes = -1
	}
	if _, err := chromedp.Call(p.Ctx, throttle, conditions{Latency: float64(delay.Milliseconds()), Down: bytes, Up: bytes}); err != nil {
		p.T.Fatal(err)
	}
}

// conditions are those of a network.
type conditions struct {
	Offline bool    `json:"offline"`
	Latency float64 `json:"latency"`            // ms
	Down    float64 `json:"downloadThroughput"` // bytes a second
	Up      float64 `json:"uploadThroughput"`
}

// throttle is the command that every version of the browser knows.
var throttle = cdp.Command[conditions, cdp.Empty]{Method: "Network.emulateNetworkConditions"}

// spot is where something stands on the screen.
type spot struct{ X, Y float64 }

// find brings the control that bears some words to where it can be touched.
const find = `(() => {
	const all = [...document.querySelectorAll("button, a, label, summary")].filter((e) => e.checkVisibility());
	const hit = all.find((e) => (e.getAttribute("aria-label") ?? e.innerText).trim().startsWith(%q));
	hit?.scrollIntoView({block: "center", behavior: "instant"});
	const b = hit?.getBoundingClientRect();
	return b ? {X: b.x + b.width / 2, Y: b.y + b.height / 2} : {X: -1, Y: -1};
})()`

// Touch touches the control that bears some words, as a finger does.
func (p Page) Touch(words string) {
	p.T.Helper()
	at := Ask[spot](p, fmt.Sprintf(find, words))
	const looks = 40
	for range looks { // a page that still settles would be touched beside it
		time.Sleep(80 * time.Millisecond)
		now := Ask[spot](p, fmt.Sprintf(find, words))
		if now == at && at.X >= 0 {
			break
		}
		at = now
	}
	if at.X < 0 {
		p.T.Fatalf("there is nothing to touch that says %q:\n%s", words, p.Inside())
	}
	p.TouchAt(at.X, at.Y)
}

// TouchAt touches a place of the screen.
func (p Page) TouchAt(x, y float64) {
	p.T.Helper()
	for _, kind := range []input.DispatchTouchEventType{"touchStart", "touchEnd"} {
		e := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		if kind == "touchStart" {
			e.TouchPoints = append(e.TouchPoints, &input.TouchPoint{X: x, Y: y})
		}
		if _, err := chromedp.Call(p.Ctx, input.DispatchTouchEvent, e); err != nil && !errors.Is(err, context.Canceled) {
			p.T.Fatal(err)
		}
	}
}

// Fingers lets the screen be touched.
func (p Page) Fingers() {
	p.T.Helper()
	if _, err := chromedp.Call(p.Ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 2}); err != nil {
		p.T.Fatal(err)
	}
}

// Key presses a key of the keyboard, by its letter or its name in package kb.
func (p Page) Key(key string) {
	p.T.Helper()
	p.Do(chromedp.KeyEvent(key))
}

// focused is what has the focus, in words.
const focused = `(() => {
	const a = document.activeElement?.shadowRoot?.activeElement ?? document.activeElement;
	return a === null || a === document.body ? "" : (a.getAttribute("aria-label") ?? (a.labels?.[0] ?? a).innerText).trim();
})()`

// Reach presses a key until the control that bears some words has the focus.
func (p Page) Reach(key, words string) {
	p.T.Helper()
	const most = 120
	for range most {
		if Ask[bool](p, fmt.Sprintf(`%s.startsWith(%q)`, focused, words)) {
			return
		}
		p.Key(key)
	}
	p.T.Fatalf("%q is not reached by the keyboard:\n%s", words, p.Inside())
}
