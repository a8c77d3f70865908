package web_test

import (
	"bufio"
	"context"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/metrics"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"selvage/internal/browser"
)

// TestBrowserBigScan drops a scan of 300 MB: the page says how far it is, the server keeps
// it without holding it in memory whole, and it stands in the case in its full size.
func TestBrowserBigScan(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser and 300 MB of disk")
	}
	const triangles = 6_000_000 // of 50 bytes each
	path := filepath.Join(t.TempDir(), "working.stl")
	must(t, hugeSTL(path, triangles))
	s := browse(t, sit(t).url)
	s.Go(s.url + "/")
	browser.Ask[bool](s.Page, `(window.told = new Set(), new MutationObserver(() => { window.told.add(document.querySelector("[data-status]")?.textContent); }).observe(document.querySelector("[data-status]"), {childList: true, characterData: true, subtree: true}), true)`)
	ctx, stop := context.WithCancel(t.Context())
	peak := make(chan uint64)
	go func() { peak <- watchHeap(ctx) }()
	runtime.GC()
	before := liveHeap()
	began := time.Now()
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, []string{path}))
	s.Until(`(window.told?.size ?? 9) > 1 || location.pathname !== "/"`)
	s.Says("Which tooth was prepared?")
	took := time.Since(began)
	stop()
	most := <-peak
	if most > before+150e6 {
		t.Errorf("the server held %d MB more while 300 MB came", (most-before)/1e6)
	}
	t.Logf("the heap went from %d to %d MB", before/1e6, most/1e6)
	t.Logf("300 MB taken in %.1f s", took.Seconds())
	browser.Ask[bool](s.Page, `(document.querySelectorAll("details").forEach((d) => { d.open = true; }), true)`)
	s.Says("300.0 MB")
}

// liveHeap returns what the last collection found in use, bytes. WHY not all that is
// allocated: that doubles between two collections with what other tests left behind.
func liveHeap() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// watchHeap returns the most that the heap held until it was told to stop.
func watchHeap(ctx context.Context) uint64 {
	var most uint64
	for {
		most = max(most, liveHeap())
		select {
		case <-ctx.Done():
			return most
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// TestBrowserFirstLook measures how long it takes from the last byte of a scan of 800,000
// triangles to its first picture on the page, everything drawn in software.
func TestBrowserFirstLook(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	path := filepath.Join(t.TempDir(), "working.stl")
	must(t, hugeSTL(path, 800_000))
	s := browse(t, sit(t).url)
	s.Go(s.url + "/")
	browser.Ask[bool](s.Page, `(new MutationObserver(() => {
		if (document.querySelector("[data-status]")?.textContent === document.body.dataset.sent) sessionStorage.sent ??= String(Date.now());
	}).observe(document.querySelector("[data-status]"), {childList: true, characterData: true, subtree: true}), true)`)
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, []string{path}))
	s.Until(`document.querySelector("img.look")?.complete && document.querySelector("img.look").naturalWidth > 0`)
	took := browser.Ask[float64](s.Page, `performance.timeOrigin + performance.getEntriesByType("resource").find((e) => e.name.endsWith("/look")).responseEnd - Number(sessionStorage.sent)`)
	t.Logf("from the last byte to the first look: %.2f s", took/1000)
	const most = 30e3 // ms; the aim is 1500 on a machine that does nothing else
	if took <= 0 || took > most {
		t.Errorf("it took %.0f ms", took)
	}
}

// TestBrowserNewcomer goes from the open page to the verdict as somebody does who has never
// seen it: two seconds before every touch, nothing read but what is touched. The verdict
// must not wait for its pictures, and they must come by themselves.
func TestBrowserNewcomer(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	const hesitates = 2 * time.Second
	s := browse(t, sit(t).url)
	s.Fingers()
	paths := scansOnDisk(t)
	began := time.Now()
	s.Go(s.url + "/")
	s.Says("Drop the scans here")
	time.Sleep(hesitates)
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, paths))
	for _, words := range []string{"upper left", "first molar"} {
		s.Says(words)
		time.Sleep(hesitates)
		s.Touch(words)
	}
	s.Until(`document.querySelector("main")?.dataset.step === "answer"`)
	verdict := time.Since(began)
	s.Says("Scan again")
	s.Until(`document.querySelector("main")?.dataset.drawn === "yes" && document.querySelector("#live img")?.complete`)
	pictures := time.Since(began)
	s.Says("Dry and scan the palatal margin again")
	t.Logf("verdict after %.1f s, its pictures after %.1f s", verdict.Seconds(), pictures.Seconds())
	const most = 4 * time.Minute // the aim is one minute on a machine that does nothing else
	if verdict > most {
		t.Errorf("the verdict came after %v", verdict)
	}
}

// hugeSTL writes a sheet of many small triangles, two to a square, in gentle waves.
func hugeSTL(path string, n int) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	head := make([]byte, 84)
	binary.LittleEndian.PutUint32(head[80:], uint32(n))
	if _, err := w.Write(head); err != nil {
		return err
	}
	rec := make([]byte, 50)
	side, step := int(math.Sqrt(float64(n)/2)), float32(0.06)
	at := func(i, j int) [3]float32 {
		x, y := float32(i)*step, float32(j)*step
		return [3]float32{x, y, float32(math.Sin(float64(x)) * math.Cos(float64(y)))}
	}
	for k := range n {
		i, j := k/2%side, k/2/side
		a, b, c := at(i, j), at(i+1, j), at(i, j+1)
		if k%2 == 1 {
			a, b, c = at(i+1, j), at(i+1, j+1), at(i, j+1)
		}
		for m, v := range [12]float32{0, 0, 1, a[0], a[1], a[2], b[0], b[1], b[2], c[0], c[1], c[2]} {
			binary.LittleEndian.PutUint32(rec[4*m:], math.Float32bits(v))
		}
		if _, err := w.Write(rec); err != nil {
			return err
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}

// TestBrowserSlowNetwork goes on over a network of 2 Mbit/s with a delay: the words of the
// answer stand long before the model, the twin before the detail, and the stream still
// tells what is new.
func TestBrowserSlowNetwork(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	home := sit(t)
	scans, err := made()
	must(t, err)
	_, at, _ := home.drop("/case", scans)
	home.send(at+"/order", map[string][]string{"tooth": {"26"}})
	home.await(at, "answer")
	s := browse(t, home.url)
	s.Slow(250_000, 200*time.Millisecond)
	s.Go(s.url + "/who") // the first page pays for the connection
	began := time.Now()
	go func() { _ = chromedp.Do(s.Ctx, chromedp.Navigate(s.url+at)) }() // it ends with the test's browser at the latest
	s.Says("Scan again")
	words := time.Since(began)
	if state := browser.Ask[string](s.Page, `document.querySelector("scan-view")?.dataset.state ?? "none"`); state == "ready" {
		t.Error("the model was there before the words")
	}
	s.Until(`document.querySelector("scan-view")?.stage?.pieces.some((p) => p.coarse || p.fine)`)
	first := time.Since(began)
	s.Slow(0, 0)
	s.ready()
	t.Logf("words after %.1f s, the first of the model after %.1f s", words.Seconds(), first.Seconds())
	s.Slow(250_000, 200*time.Millisecond)
	home.send(at+"/order", map[string][]string{"material": {"zirconia-3y"}})
	s.Until(`document.querySelector("main")?.dataset.step === "busy"`) // told by the stream
}
