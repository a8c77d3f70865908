package web_test

import (
	"bufio"
	"bytes"
	"context"
	"html"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/web"
	"selvage/internal/work"
	"selvage/meshio/stl"
	"selvage/phantom"
	"selvage/tooth"
)

// made are the scans of a made case of tooth 26, made once.
var made = sync.OnceValues(func() (map[string][]byte, error) {
	spec := phantom.Default(tooth.Number(26))
	spec.Faults = []phantom.Fault{{Name: "margin-not-captured"}}
	spec.Scanner.Triangles = 90_000 // coarse, so that a check is quick
	c, err := phantom.Make(spec)
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	for _, s := range c.Scans {
		var b bytes.Buffer
		if err := stl.Encode(&b, s.Mesh); err != nil {
			return nil, err
		}
		out[s.File] = b.Bytes()
	}
	return out, nil
})

// chair is a browser without scripts on a fresh installation.
type chair struct {
	t    *testing.T
	url  string
	http *http.Client
}

func sit(t *testing.T) *chair {
	t.Helper()
	return install(t, time.Now).browser(t)
}

// install starts a fresh installation with a clock.
func install(t *testing.T, now func() time.Time) *installation {
	t.Helper()
	return installOn(t, now, func(b store.Blobs) store.Blobs { return b })
}

// installOn is install with something between the program and its blobs.
func installOn(t *testing.T, now func() time.Time, between func(store.Blobs) store.Blobs) *installation {
	t.Helper()
	dir, ctx := t.TempDir(), context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	must(t, err)
	key, err := folder.LoadKey(filepath.Join(dir, "key"), true)
	must(t, err)
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	must(t, err)
	desk, err := work.Open(ctx, work.Options{Ledger: store.New(db, now), Blobs: between(blobs), Workers: 1, Alone: true})
	must(t, err)
	must(t, desk.Start(ctx))
	h, err := web.New(work.Shop{Desk: desk, Version: "test", Secret: []byte("secret"), Now: now})
	must(t, err)
	server := httptest.NewServer(h)
	t.Cleanup(func() {
		server.CloseClientConnections()
		server.Close()
		stop, cancel := context.WithTimeout(ctx, time.Second)
		defer cancel()
		must(t, desk.Stop(stop))
		must(t, db.Close())
	})
	return &installation{desk: desk, handler: h, url: server.URL, dir: dir}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// installation is a running server.
type installation struct {
	desk    *work.Desk
	handler http.Handler
	url     string
	dir     string // of its data
}

// browser returns a browser that knows nothing yet.
func (i *installation) browser(t *testing.T) *chair {
	t.Helper()
	jar, err := cookiejar.New(nil)
	must(t, err)
	return &chair{t: t, url: i.url, http: &http.Client{Jar: jar}}
}

// get returns a page and its status.
func (c *chair) get(path string) (string, int, http.Header) {
	c.t.Helper()
	r, err := http.NewRequest(http.MethodGet, c.url+path, nil)
	must(c.t, err)
	r.Header.Set("Accept", "text/html")
	res, err := c.http.Do(r)
	must(c.t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	must(c.t, err)
	return string(data), res.StatusCode, res.Header
}

// send posts a form and returns where it led and with which status.
func (c *chair) send(path string, form url.Values) (page string, at string, status int) {
	c.t.Helper()
	res, err := c.http.PostForm(c.url+path, form)
	must(c.t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	must(c.t, err)
	return string(data), res.Request.URL.Path, res.StatusCode
}

// drop sends files and returns the page that follows.
func (c *chair) drop(path string, files map[string][]byte) (page, at string, status int) {
	c.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, data := range files {
		w, err := m.CreateFormFile("scans", name)
		must(c.t, err)
		_, err = w.Write(data)
		must(c.t, err)
	}
	must(c.t, m.Close())
	res, err := c.http.Post(c.url+path, m.FormDataContentType(), &b)
	must(c.t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	must(c.t, err)
	return string(data), res.Request.URL.Path, res.StatusCode
}

// await reads a page until it is at a step, and what belongs to it is drawn.
func (c *chair) await(path, step string) string {
	c.t.Helper()
	end := time.Now().Add(3 * time.Minute)
	var page string
	for time.Now().Before(end) {
		if page, _, _ = c.get(path); strings.Contains(page, `data-step="`+step+`"`) && !strings.Contains(page, `data-drawn="no"`) {
			return page
		}
		time.Sleep(50 * time.Millisecond)
	}
	c.t.Fatalf("%s did not come to %q:\n%s", path, step, page)
	return ""
}

func wants(t *testing.T, page string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(page, w) {
			t.Errorf("the page does not say %q", w)
		}
	}
}

// TestFromDroppedFilesToSignature goes the whole way without a script.
func TestFromDroppedFilesToSignature(t *testing.T) {
	scans, err := made()
	must(t, err)
	c := sit(t)
	page, _, _ := c.get("/")
	wants(t, page, "Drop the scans here", "How it goes")
	page, at, _ := c.drop("/case", scans)
	wants(t, page, `data-step="tooth"`, "Which tooth was prepared?")
	page, _, _ = c.get(at + "?quarter=2")
	wants(t, page, "first molar", "26 · #14")
	heard := c.listen(at + "/stream")
	c.send(at+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	page = c.await(at, "answer")
	wants(t, page, "Scan again", "upper left first molar", "lithium disilicate", "The dentist decides")
	if said := heard(); !strings.Contains(said, `"phase":"tracing the margin"`) {
		t.Errorf("the stream did not tell of the margin: %q", said)
	}
	for _, m := range regexp.MustCompile(`src="(/case/[^"]+)"`).FindAllStringSubmatch(page, -1) {
		if data, status, h := c.get(m[1]); status != 200 || !strings.HasPrefix(h.Get("Content-Type"), "image/") || len(data) < 500 {
			t.Errorf("%s: status %d, %s, %d bytes", m[1], status, h.Get("Content-Type"), len(data))
		}
	}
	page, _, status := c.send(at+"/decide", url.Values{"choice": {"accept"}, "reason": {"Because"}})
	if status != http.StatusForbidden {
		t.Errorf("decided by nobody: %d", status)
	}
	wants(t, page, "Make the first person")
	page, _, _ = c.get(at + "/dentist")
	wants(t, page, "Only a dentist decides", `href="/first?to=`)
	c.first("A. Berg", "482703", "dentist")
	page, _, status = c.send(at+"/decide", url.Values{"choice": {"accept"}})
	if status != http.StatusConflict {
		t.Errorf("accepted against the check without a reason: %d", status)
	}
	wants(t, page, "say why")
	page, _, _ = c.get(at + "/dentist")
	looked := regexp.MustCompile(`name="check" value="([^"]+)"`).FindStringSubmatch(page)[1]
	for to, said := range map[string]url.Values{"/decide": {"choice": {"accept"}, "reason": {"Seen"}}, "/alarm": {"finding": {"1"}, "right": {"no"}}} {
		said.Set("check", "another")
		if page, _, status = c.send(at+to, said); status != http.StatusConflict || !strings.Contains(page, "something newer came") {
			t.Errorf("%s on another check than the page showed: %d", to, status)
		}
	}
	page, _, _ = c.send(at+"/decide", url.Values{"check": {looked}, "choice": {"accept"}, "reason": {"Seen and probed in the mouth: it is sound"}})
	wants(t, page, "Seen and probed", "Sign")
	page, _, _ = c.send(at+"/alarm", url.Values{"check": {looked}, "finding": {"1"}, "right": {"no"}})
	wants(t, page, `aria-pressed="true"`)
	page, _, _ = c.get(at + "/sign")
	wants(t, page, "your number once more", "Seen and probed", "upper left first molar")
	check := regexp.MustCompile(`name="check" value="([^"]+)"`).FindStringSubmatch(page)[1]
	if _, _, status = c.send(at+"/sign", url.Values{"check": {"another"}, "proof": {"482703"}}); status != http.StatusConflict {
		t.Errorf("signed something else than was shown: %d", status)
	}
	page, _, status = c.send(at+"/sign", url.Values{"check": {check}, "proof": {"482704"}})
	if status != http.StatusForbidden || strings.Contains(page, "Signed by") {
		t.Errorf("signed with a wrong number: %d", status)
	}
	wants(t, page, "This is not the number")
	page, _, _ = c.send(at+"/sign", url.Values{"check": {check}, "proof": {"482703"}})
	wants(t, page, "Signed by A. Berg")
	page, _, _ = c.get(at + "/history")
	wants(t, page, "case opened", "check done", "signed", "looked at", "alarm judged", "A. Berg", "at this chair")
	page, _, _ = c.get("/")
	wants(t, page, "Scan again", "signed")
	c.putsRight(at)
}

// putsRight names a tooth and pins the margin by taps on stills, as a browser does that
// draws no model, and takes the pin back.
func (c *chair) putsRight(at string) {
	c.t.Helper()
	page, _, _ := c.get(at + "/correct")
	wants(c.t, page, "A tooth has the wrong number", "The margin runs elsewhere")
	page, _, _ = c.get(at + "/correct?what=tooth")
	wants(c.t, page, `type="image"`, "upper left first molar", `role=opposing`)
	link := regexp.MustCompile(`href="(\?p=[^"]+)"`).FindStringSubmatch(page)
	if link == nil {
		c.t.Fatal("no tooth can be chosen")
	}
	page, _, _ = c.get(at + "/correct" + html.UnescapeString(link[1]))
	wants(c.t, page, "Which tooth is this?", `value="28"`)
	page, _, _ = c.get(at + "/correct?what=margin&role=working&restoration=0&at.x=480&at.y=360") // the middle of the tooth
	wants(c.t, page, "Points: 1")
	for _, src := range regexp.MustCompile(`src="(/case/[^"]+)"`).FindAllStringSubmatch(page, -1) {
		if data, status, _ := c.get(html.UnescapeString(src[1])); status != http.StatusOK || !strings.HasPrefix(data, "\x89PNG") {
			c.t.Errorf("%s: status %d", src[1], status)
		}
	}
	form := url.Values{}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([a-z]+)" value="([^"]+)">`).FindAllStringSubmatch(page[strings.Index(page, "data-points"):], -1) {
		form.Add(m[1], html.UnescapeString(m[2]))
	}
	form.Set("kind", "drawn")
	if _, _, status := c.send(at+"/correct", form); status != http.StatusConflict {
		c.t.Errorf("a line of one point was drawn: %d", status)
	}
	form.Set("kind", "pins")
	page, _, _ = c.send(at+"/correct", form)
	wants(c.t, page, `data-step="busy"`)
	if strings.Contains(page, "Signed by") {
		c.t.Error("the signature outlived a change of the margin")
	}
	page, _, _ = c.get(at + "/correct")
	wants(c.t, page, "Margin put through points: 1")
	id := regexp.MustCompile(`name="correction" value="([^"]+)"`).FindStringSubmatch(page)[1]
	c.send(at+"/correct/back", url.Values{"correction": {id}})
	page, _, _ = c.get(at + "/correct")
	if strings.Contains(page, "Margin put through") {
		c.t.Error("it was not taken back")
	}
	page, _, _ = c.get(at + "/history")
	wants(c.t, page, "put right by hand", "put right by hand: taken back")
}

// listen reads a stream in the background; the returned function says what came.
func (c *chair) listen(path string) func() string {
	res, err := c.http.Get(c.url + path)
	must(c.t, err)
	var mu sync.Mutex
	var said strings.Builder
	go func() {
		lines := bufio.NewScanner(res.Body)
		for lines.Scan() {
			mu.Lock()
			said.WriteString(lines.Text() + "\n")
			mu.Unlock()
		}
	}()
	c.t.Cleanup(func() { _ = res.Body.Close() })
	return func() string {
		mu.Lock()
		defer mu.Unlock()
		return said.String()
	}
}

// TestHostileInput sends what nobody should: it changes nothing and is shown inert.
func TestHostileInput(t *testing.T) {
	c := sit(t)
	name := `..\..\<img src=x onerror=alert(1)>.stl`
	page, at, _ := c.drop("/case", map[string][]byte{name: []byte("no mesh")})
	wants(t, page, "&lt;img src=x onerror=alert(1)&gt;.stl")
	if strings.Contains(page, "<img src=x") {
		t.Error("a file's name became markup")
	}
	c.send(at+"/order", url.Values{"tooth": {"26"}})
	wants(t, c.await(at, "refused"), "These files cannot be used")
	for _, f := range []url.Values{{"tooth": {"99"}}, {"material": {"<script>"}}, {"tooth": {"26' OR 1=1 --"}}} {
		if _, _, status := c.send(at+"/order", f); status != http.StatusConflict {
			t.Errorf("%v: status %d, want a refusal", f, status)
		}
	}
	for _, p := range []string{"/case/none", "/case/../../etc/passwd", at + "/check/none/figure/x", "/assets/../server.go"} {
		if _, status, _ := c.get(p); status != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", p, status)
		}
	}
}

// TestOtherSitesChangeNothing sends a change as another site's page would.
func TestOtherSitesChangeNothing(t *testing.T) {
	c := sit(t)
	for _, h := range []map[string]string{{"Sec-Fetch-Site": "cross-site"}, {"Origin": "https://elsewhere.example"}} {
		r, err := http.NewRequest("POST", c.url+"/case", strings.NewReader("name=x"))
		must(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range h {
			r.Header.Set(k, v)
		}
		res, err := c.http.Do(r)
		must(t, err)
		_ = res.Body.Close()
		if res.StatusCode != http.StatusForbidden {
			t.Errorf("%v: status %d, want 403", h, res.StatusCode)
		}
	}
	page, _, h := c.get("/")
	if strings.Contains(page, "Go on with") {
		t.Error("a case was opened all the same")
	}
	if p := h.Get("Content-Security-Policy"); !strings.HasPrefix(p, "default-src 'none'; script-src 'self'; style-src 'self';") || strings.Contains(p, "unsafe") {
		t.Errorf("policy %q", p)
	}
}
