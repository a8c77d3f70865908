package browser

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// names are what Debian and others call the program.
var names = []string{"chromium", "chromium-browser"}

// Start starts Chromium, drawing in software, for as long as life allows. lacks says what
// else is missing, such as scripts that are not built; empty: nothing. Where something is
// missing the test is skipped loudly, and fails where CI is set.
func Start(t *testing.T, life time.Duration, lacks string) context.Context {
	t.Helper()
	path := ""
	for _, name := range names {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		lacks = "no Chromium; run: make deps"
	}
	if lacks != "" {
		if os.Getenv("CI") != "" {
			t.Fatal(lacks)
		}
		t.Skip("SKIPPED: " + lacks)
	}
	usual := chromedp.DefaultExecAllocatorOptions[:]
	opts := append(usual[:len(usual):len(usual)],
		chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("font-render-hinting", "none"), chromedp.Flag("hide-scrollbars", true),
	)
	ctx, cancel := context.WithTimeout(t.Context(), life)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return ctx
}
