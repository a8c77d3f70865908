package web_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/work"
)

// badDisk keeps blobs until its disk fails.
type badDisk struct {
	store.Blobs
	put, get atomic.Pointer[error]
}

func (b *badDisk) Put(ctx context.Context, r io.Reader) (store.Hash, int64, error) {
	if err := b.put.Load(); err != nil {
		return "", 0, *err
	}
	return b.Blobs.Put(ctx, r)
}

func (b *badDisk) Get(ctx context.Context, h store.Hash) ([]byte, error) {
	if err := b.get.Load(); err != nil {
		return nil, *err
	}
	return b.Blobs.Get(ctx, h)
}

// TestDiskTrouble: a full disk, a read-only one, a damaged file and another key are each
// told in one sentence, on the page in both languages and to programs; a check that waits
// for a disk goes on by itself.
func TestDiskTrouble(t *testing.T) {
	disk := &badDisk{}
	i := installOn(t, time.Now, func(b store.Blobs) store.Blobs { disk.Blobs = b; return disk })
	c := i.browser(t)
	_, place, _ := c.drop("/case", map[string][]byte{"upper.stl": []byte("no mesh")})
	id := strings.TrimPrefix(place, "/case/")
	for _, tt := range []struct {
		err    error
		kind   string
		en, de string
	}{
		{&os.PathError{Op: "write", Err: syscall.ENOSPC}, "full", "The disk is full", "ist voll"},
		{&os.PathError{Op: "open", Err: syscall.EROFS}, "read-only", "cannot be written", "geschrieben werden"},
		{&os.PathError{Op: "open", Err: os.ErrPermission}, "read-only", "cannot be written", "geschrieben werden"},
	} {
		err := fmt.Errorf("storing a file: %w", tt.err)
		disk.put.Store(&err)
		page, _, status := c.drop(place+"/scans", map[string][]byte{"lower.stl": []byte("x")})
		if status != http.StatusInsufficientStorage || !strings.Contains(page, tt.en) || strings.Contains(page, "storing a file") {
			t.Errorf("%v: %d\n%s", tt.err, status, page)
		}
		disk.put.Store(nil)
		wants(t, i.german(t, func() { disk.put.Store(&err) }, place), tt.de)
		disk.put.Store(nil)
	}
	p, _ := i.letIn(t, people.Sender)
	err := error(&os.PathError{Op: "write", Err: syscall.ENOSPC})
	disk.put.Store(&err)
	if a := p.wants(p.bring("/api/v1/cases/"+id+"/scans", map[string][]byte{"scan": []byte("y")}), 507); a.at("type") != "urn:selvage:problem:full" {
		t.Errorf("a program is told %s", a.body)
	}
	disk.put.Store(nil)
	if cs, err := i.desk.Case(t.Context(), id); err != nil || len(cs.Scans) != 1 {
		t.Errorf("a scan that was not stored is in the case: %+v, %v", cs.Scans, err)
	}
}

// german returns the page of what comes while something is wrong.
func (i *installation) german(t *testing.T, wrong func(), place string) string {
	t.Helper()
	wrong()
	r, err := http.NewRequest("POST", i.url+"/case", strings.NewReader("--x\r\nContent-Disposition: form-data; name=scans; filename=a.stl\r\n\r\nsolid\r\n--x--\r\n"))
	must(t, err)
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	r.Header.Set("Accept-Language", "de")
	res, err := http.DefaultTransport.RoundTrip(r)
	must(t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	must(t, err)
	return string(data)
}

// TestCheckWaitsForTheDisk: the page says why, and the check is made when the disk has
// room again.
func TestCheckWaitsForTheDisk(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: a check is made twice")
	}
	files, err := made()
	must(t, err)
	disk := &badDisk{}
	i := installOn(t, time.Now, func(b store.Blobs) store.Blobs { disk.Blobs = b; return disk })
	c := i.browser(t)
	_, place, _ := c.drop("/case", files)
	full := error(&os.PathError{Op: "write", Err: syscall.ENOSPC})
	disk.put.Store(&full)
	c.send(place+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(50 * time.Millisecond) {
		if page, _, _ := c.get(place); strings.Contains(page, "The disk is full") {
			wants(t, page, `role="alert"`, "what waits goes on by itself", `data-step="busy"`)
			break
		}
		if time.Now().After(end) {
			t.Fatal("the page never says that the disk is full")
		}
	}
	disk.put.Store(nil)
	if page := c.await(place, "answer"); strings.Contains(page, "The disk is full") {
		t.Error("the page still says that the disk is full")
	}
}

// TestDamagedFile damages a stored file on the disk, and takes another key's.
func TestDamagedFile(t *testing.T) {
	files, err := made()
	must(t, err)
	i := install(t, time.Now)
	c := i.browser(t)
	_, place, _ := c.drop("/case", files)
	c.send(place+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	c.await(place, "answer")
	k := i.current(t, strings.TrimPrefix(place, "/case/"))
	at := filepath.Join(i.dir, "blobs", string(k.Result[:2]), string(k.Result))
	data, err := os.ReadFile(at)
	must(t, err)
	data[len(data)/2] ^= 1
	must(t, os.WriteFile(at, data, 0o600))
	for _, p := range []string{place, place + "/dentist", place + "/check/" + k.ID + "/report.json"} {
		page, status, _ := c.get(p)
		if status != http.StatusInternalServerError || !strings.Contains(page, "A stored file is damaged on the disk") || !strings.Contains(page, "Restore it from the back-up") {
			t.Errorf("%s: %d\n%s", p, status, page)
		}
	}
	if page, status, _ := c.get("/"); status != http.StatusOK {
		t.Errorf("the list is gone with it: %d\n%s", status, page)
	}
	other := error(&store.CorruptError{Hash: k.Result, Kind: store.OtherKey, What: "w", Try: "t"})
	if say, _ := work.TroubleOf(other); say != "" {
		t.Errorf("another key is taken for a full disk: %s", say)
	}
}
