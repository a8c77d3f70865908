package web_test

import (
	"context"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"selvage/internal/browser"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/web"
	"selvage/internal/work"
)

// The test program serves, instead of testing, where these are set.
const (
	childDir     = "SELVAGE_WEB_CHILD_DIR"
	childAddress = "SELVAGE_WEB_CHILD_ADDRESS"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		serve(dir, os.Getenv(childAddress))
	}
	os.Exit(m.Run())
}

// serve is the program that is killed: it serves a folder until then.
func serve(dir, address string) {
	ctx := context.Background()
	check := func(err error) {
		if err != nil {
			panic(err)
		}
	}
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	check(err)
	key, err := folder.LoadKey(filepath.Join(dir, "key"), true)
	check(err)
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	check(err)
	desk, err := work.Open(ctx, work.Options{Ledger: store.New(db, time.Now), Blobs: blobs, Workers: 1, Alone: true})
	check(err)
	check(desk.Start(ctx))
	h, err := web.New(work.Shop{Desk: desk, Version: "test", Secret: []byte("secret")})
	check(err)
	check(http.ListenAndServe(address, h))
}

// doomed is a server in a process of its own.
type doomed struct {
	t            *testing.T
	dir, address string
	cmd          *exec.Cmd
}

// start starts the program, also again on what a killed one left.
func (p *doomed) start() {
	p.t.Helper()
	self, err := os.Executable()
	must(p.t, err)
	p.cmd = exec.Command(self)
	p.cmd.Env = append(os.Environ(), childDir+"="+p.dir, childAddress+"="+p.address)
	p.cmd.Stderr = os.Stderr
	must(p.t, p.cmd.Start())
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		if c, err := net.Dial("tcp", p.address); err == nil {
			_ = c.Close() // only asked whether somebody is there
			return
		}
		if time.Now().After(end) {
			p.t.Fatal("the program does not serve")
		}
	}
}

// kill ends the program without a word.
func (p *doomed) kill() {
	_ = p.cmd.Process.Signal(syscall.SIGKILL) // where it has ended already there is nothing to kill
	_ = p.cmd.Wait()
}

// TestBrowserOutlivesTheServer kills the server while it measures and starts it again: the
// page that was open finds it by itself, and the answer appears without a touch.
func TestBrowserOutlivesTheServer(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	p := &doomed{t: t, dir: t.TempDir(), address: l.Addr().String()}
	must(t, l.Close())
	p.start()
	t.Cleanup(func() { p.kill() })
	s := browse(t, "http://"+p.address)
	s.Go(s.url + "/")
	s.Do(chromedp.SetUploadFiles(`input[type=file]`, scansOnDisk(t)))
	s.Says("Which tooth was prepared?")
	s.Fingers()
	s.Touch("upper left")
	s.Says("first molar")
	s.Touch("first molar")
	s.Until(`[...document.querySelectorAll(".phases .done")].length >= 1`)
	p.kill()
	time.Sleep(500 * time.Millisecond)
	if at := browser.Ask[string](s.Page, `document.querySelector("main").dataset.step`); at != "busy" {
		t.Errorf("without a server the page is at %q", at)
	}
	p.start()
	s.ready()
	s.Says("Scan again")
	s.Go(s.url + "/" + s.here() + "/history")
	s.Says("case opened")
	if n := browser.Ask[int](s.Page, `[...document.querySelectorAll(".hist td")].filter((e) => e.innerText === "check done").length`); n != 1 {
		t.Errorf("%d checks are done, want 1", n)
	}
}
