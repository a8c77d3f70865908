package exchange_test

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"selvage/internal/exchange"
)

// stranger is a browser without a network, or the test is skipped where there is none.
func stranger(t *testing.T) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("no Chromium; run: make deps")
		}
		t.Skip("SKIPPED: no Chromium; run: make deps")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"), // there is no network
	)
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return ctx
}

// TestPagesOpenFromTheFileSystem unpacks a parcel on a stranger's computer, looks at the
// scans, turns them, and answers by the receipt.
func TestPagesOpenFromTheFileSystem(t *testing.T) {
	ctx := stranger(t)
	data, p := packed(t, false, nil)
	dir := t.TempDir()
	for name, text := range unzip(t, data) {
		must(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o700))
		must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	do := func(steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		must(t, chromedp.Do(ctx, steps...))
	}
	seen := func() []byte {
		t.Helper()
		data, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		must(t, err)
		return data
	}
	do(chromedp.EmulateViewport(900, 700), chromedp.Navigate("file://"+filepath.Join(dir, "view.html")))
	if evaluate[string](t, ctx, `document.querySelector("canvas").dataset.drawn || ""`) == "" {
		t.Fatal("nothing was drawn")
	}
	first := seen()
	evaluate[bool](t, ctx, `document.querySelector("canvas").focus(), true`)
	do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp))
	turned := seen()
	evaluate[bool](t, ctx, `document.querySelector('#tools button[aria-pressed="true"]').click(), true`)
	hidden := seen()
	if inked(t, first) < 0.02 || inked(t, hidden) >= inked(t, first) {
		t.Errorf("drawn: %.3f of the picture, %.3f without the arch", inked(t, first), inked(t, hidden))
	}
	if bytes.Equal(first, turned) {
		t.Error("the arrow keys turn nothing")
	}
	loaded := evaluate[[]string](t, ctx, `performance.getEntriesByType("resource").map((e) => e.name).filter((n) => !n.startsWith("data:"))`)
	if len(loaded) > 0 {
		t.Errorf("the page loads %v", loaded)
	}

	do(chromedp.Navigate("file://" + filepath.Join(dir, "receipt.html")))
	evaluate[bool](t, ctx, `(() => { const was = URL.createObjectURL.bind(URL); window.kept = ""; URL.createObjectURL = (b) => { b.text().then((t) => { window.kept = t; }); return was(b); }; return true; })()`)
	evaluate[bool](t, ctx, `document.querySelector('input[value="query"]').click(), document.querySelector('input[name="by"]').value = "T. North", document.querySelector("button").click(), true`)
	if said := evaluate[string](t, ctx, `document.getElementById("said").textContent`); said != "Say why." {
		t.Errorf("a query without a reason: %q", said)
	}
	evaluate[bool](t, ctx, `document.querySelector("select").value = "margin-unclear", document.querySelector("textarea").value = "distal, please look", document.querySelector("button").click(), true`)
	text := ""
	for end := time.Now().Add(20 * time.Second); text == "" && time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		text = evaluate[string](t, ctx, `window.kept`)
	}
	r, err := exchange.ParseReceipt([]byte(text))
	if err != nil || r.Parcel != p.ID() || r.Answer != exchange.Query || r.Reason != exchange.MarginDoubt || r.Text != "distal, please look" || r.By != "T. North" {
		t.Errorf("the receipt says %+v (%v)", r, err)
	}
}

func evaluate[T any](t *testing.T, ctx context.Context, js string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](js))
	if err != nil {
		t.Fatalf("%s: %v", js, err)
	}
	return v
}

// inked is the share of a picture that is not its paper.
func inked(t *testing.T, data []byte) float64 {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	must(t, err)
	b, n := img.Bounds(), 0
	pr, pg, pb, _ := img.At(b.Min.X+b.Dx()/2, b.Min.Y+b.Dy()/2-160).RGBA()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := img.At(x, y).RGBA()
			if r != pr || g != pg || bl != pb {
				n++
			}
		}
	}
	return float64(n) / float64(b.Dx()*b.Dy())
}
