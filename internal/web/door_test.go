package web_test

import (
	"context"
	"crypto/tls"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// first makes the first person at this browser, who is then signed in.
func (c *chair) first(name, number string, roles ...string) (code string) {
	c.t.Helper()
	page, _, status := c.send("/first", url.Values{"name": {name}, "role": roles, "proof": {number}, "again": {number}})
	if status != http.StatusOK {
		c.t.Fatalf("the first person was not made: %d\n%s", status, page)
	}
	m := regexp.MustCompile(`class="code">([^<]+)<`).FindStringSubmatch(page)
	if m == nil {
		c.t.Fatal("no code for the envelope")
	}
	return m[1]
}

// id returns the id under which a name stands on the page that asks who is here.
func (c *chair) id(name string) string {
	c.t.Helper()
	page, _, _ := c.get("/who")
	m := regexp.MustCompile(`href="/who/([^"?]+)\?[^"]*">` + regexp.QuoteMeta(name)).FindStringSubmatch(page)
	if m == nil {
		c.t.Fatalf("%s is not among those who may come in:\n%s", name, page)
	}
	return m[1]
}

// in signs somebody in.
func (c *chair) in(name, number string) (page string, status int) {
	c.t.Helper()
	page, _, status = c.send("/who/"+c.id(name), url.Values{"proof": {number}})
	return page, status
}

// helper adds an assistant, who has chosen a number of their own, and signs them in.
func (i *installation) helper(t *testing.T, manager *chair, name, number string) *chair {
	t.Helper()
	_, _, status := manager.send("/people", url.Values{"name": {name}, "role": {"assistant"}, "proof": {"739104"}, "again": {"739104"}})
	if status != http.StatusOK {
		t.Fatalf("the assistant was not added: %d", status)
	}
	c := i.browser(t)
	if page, _ := c.in(name, "739104"); !strings.Contains(page, "Somebody else chose your number") {
		t.Error("a number that the manager chose may be kept")
	}
	if _, _, status := c.send("/case", nil); status != http.StatusForbidden {
		t.Errorf("something was done with a number that the manager chose: %d", status)
	}
	if page, _, _ := c.send("/me", url.Values{"proof": {"739104"}, "again": {"739104"}}); !strings.Contains(page, "choose another") {
		t.Error("the manager's number was chosen again")
	}
	c.send("/me", url.Values{"proof": {number}, "again": {number}})
	return c
}

// cookie returns what the browser holds.
func (c *chair) cookie() *http.Cookie {
	c.t.Helper()
	u, err := url.Parse(c.url)
	must(c.t, err)
	all := c.http.Jar.Cookies(u)
	if len(all) != 1 {
		c.t.Fatalf("%d cookies, want one", len(all))
	}
	return all[0]
}

// with returns the status of a request with a cookie.
func (i *installation) with(t *testing.T, value, method, path string) int {
	t.Helper()
	r, err := http.NewRequest(method, i.url+path, nil)
	must(t, err)
	r.AddCookie(&http.Cookie{Name: "selvage", Value: value})
	res, err := http.DefaultTransport.RoundTrip(r)
	must(t, err)
	_ = res.Body.Close()
	return res.StatusCode
}

// TestOnceSomebodyIsKnown: without showing who one is, nothing is seen or done.
func TestOnceSomebodyIsKnown(t *testing.T) {
	i := install(t, time.Now)
	c := i.browser(t)
	_, at, _ := c.drop("/case", map[string][]byte{"upper.stl": []byte("no mesh")})
	c.first("A. Berg", "482703", "dentist")
	stranger := i.browser(t)
	for _, p := range []string{"/", at, at + "/dentist", at + "/history", at + "/stream", at + "/check/x/report.json", "/people", "/me"} {
		page, _, _ := stranger.get(p)
		if !strings.Contains(page, "Who is here?") || strings.Contains(page, "upper.stl") {
			t.Errorf("%s shows a stranger:\n%s", p, page)
		}
		if s := i.with(t, "", http.MethodGet, p); s != http.StatusUnauthorized {
			t.Errorf("%s answers a script of nobody with %d", p, s)
		}
	}
	for _, p := range []string{"/case", at + "/scans", at + "/order", at + "/check", at + "/cancel", at + "/decide", at + "/sign", "/people", "/settings", "/me", "/awake"} {
		if _, _, status := stranger.send(p, nil); status != http.StatusUnauthorized {
			t.Errorf("POST %s by a stranger: %d", p, status)
		}
	}
	if _, _, status := stranger.send("/first", url.Values{"name": {"X"}, "role": {"manager"}, "proof": {"482703"}, "again": {"482703"}}); status != http.StatusConflict {
		t.Errorf("a second first person: %d", status)
	}
	if page, status := stranger.in("A. Berg", "482703"); status != http.StatusOK || !strings.Contains(page, "Drop the scans here") {
		t.Errorf("signing in: %d", status)
	}
	if s, _, _ := stranger.get(at + "/history"); !strings.Contains(s, "A. Berg") || !strings.Contains(s, "at this chair") {
		t.Error("the history does not say who looked")
	}
}

// TestRightsAtTheDoor does as an assistant what only others may.
func TestRightsAtTheDoor(t *testing.T) {
	i := install(t, time.Now)
	boss := i.browser(t)
	boss.first("A. Berg", "482703", "dentist", "manager")
	c := i.helper(t, boss, "C. Dahl", "660214")
	_, at, status := c.drop("/case", map[string][]byte{"upper.stl": []byte("no mesh")})
	if status != http.StatusOK {
		t.Fatalf("an assistant drops files: %d", status)
	}
	before := ends(t, i)
	for _, p := range []string{at + "/decide", at + "/alarm", at + "/sign", "/people", "/settings", "/people/" + c.id("A. Berg"), "/people/" + c.id("A. Berg") + "/number", "/people/" + c.id("C. Dahl") + "/leave"} {
		if _, _, status := c.send(p, url.Values{"choice": {"accept"}, "reason": {"x"}, "proof": {"660214"}, "again": {"660214"}, "role": {"manager"}, "name": {"C. Dahl"}, "idle": {"60"}}); status != http.StatusForbidden {
			t.Errorf("POST %s by an assistant: %d", p, status)
		}
	}
	for _, p := range []string{at + "/sign", "/people", "/people/" + c.id("A. Berg")} {
		if _, status, _ := c.get(p); status != http.StatusForbidden {
			t.Errorf("GET %s by an assistant: %d", p, status)
		}
	}
	if n := ends(t, i); n != before {
		t.Errorf("%d events were written all the same", n-before)
	}
	boss.send("/people/"+boss.id("C. Dahl")+"/leave", nil)
	if _, _, status := c.send("/case", nil); status != http.StatusUnauthorized {
		t.Errorf("somebody who left opens a case: %d", status)
	}
}

// ends returns how many events there are.
func ends(t *testing.T, i *installation) int64 {
	t.Helper()
	n, err := i.desk.Ledger().Verify(context.Background())
	must(t, err)
	return n
}

// TestThePad signs in digit by digit without a script, and with too many wrong numbers.
func TestThePad(t *testing.T) {
	i := install(t, time.Now)
	i.browser(t).first("A. Berg", "482703", "dentist")
	c := i.browser(t)
	pad := "/who/" + c.id("A. Berg")
	proof := ""
	so := regexp.MustCompile(`name="proof" value="([^"]*)"`)
	for _, key := range []url.Values{{"digit": {"4"}}, {"digit": {"9"}}, {"do": {"back"}}, {"digit": {"82703"}}, {"digit": {"x"}}, {"digit": {"8"}}, {"digit": {"2"}}, {"digit": {"7"}}, {"digit": {"0"}}, {"digit": {"3"}}} {
		key.Set("proof", proof)
		page, _, _ := c.send(pad, key)
		proof = so.FindStringSubmatch(page)[1]
	}
	if proof != "482703" {
		t.Fatalf("the pad holds %q", proof)
	}
	if page, _, _ := c.send(pad, url.Values{"proof": {proof}, "do": {"ok"}, "to": {"//elsewhere.example/"}}); !strings.Contains(page, "Drop the scans here") {
		t.Error("the number did not open, or led elsewhere")
	}
	wrong := i.browser(t)
	for n := range 8 {
		page, _, status := wrong.send(pad, url.Values{"proof": {"111111"}})
		if want := map[bool]int{true: http.StatusForbidden, false: http.StatusTooManyRequests}[n < 4]; status != want {
			t.Errorf("wrong number %d: status %d, want %d", n+1, status, want)
		}
		if n >= 4 {
			wants(t, page, "The next try is possible in")
		}
	}
	if _, _, status := wrong.send(pad, url.Values{"proof": {"482703"}}); status != http.StatusTooManyRequests {
		t.Errorf("the right number while waiting: %d", status)
	}
	if page, _, _ := c.get("/people"); !strings.Contains(page, "was not let in: A. Berg") {
		t.Error("the manager does not see that somebody guessed")
	}
}

// TestSessions forges, replays and outlives sessions.
func TestSessions(t *testing.T) {
	var off atomic.Int64
	i := install(t, func() time.Time { return time.Now().Add(time.Duration(off.Load())) })
	c := i.browser(t)
	res, err := c.http.PostForm(c.url+"/first", url.Values{"name": {"A. Berg"}, "role": {"dentist"}, "proof": {"482703"}, "again": {"482703"}})
	must(t, err)
	_ = res.Body.Close()
	if h := res.Header.Get("Set-Cookie"); !strings.Contains(h, "HttpOnly") || !strings.Contains(h, "SameSite=Strict") || !strings.Contains(h, "Path=/") {
		t.Errorf("cookie %q", h)
	}
	token := c.cookie().Value
	if s := i.with(t, token, http.MethodGet, "/"); s != http.StatusOK {
		t.Fatalf("the session's own cookie: %d", s)
	}
	for _, forged := range []string{"", "x", token[:len(token)-1], token[:len(token)-1] + "!", strings.ToLower(token), token + "'--", strings.Repeat("A", 43), c.id("A. Berg")} {
		if s := i.with(t, forged, http.MethodGet, "/"); s != http.StatusUnauthorized {
			t.Errorf("the forged cookie %q: %d", forged, s)
		}
	}
	var kept int
	must(t, i.desk.Ledger().DB().QueryRow(`SELECT COUNT(*) FROM session WHERE token = $1`, token).Scan(&kept))
	if kept != 0 {
		t.Error("the database holds what the browser holds")
	}
	c.send("/lock", nil)
	if s := i.with(t, token, http.MethodGet, "/"); s != http.StatusUnauthorized {
		t.Errorf("the cookie of a session that was locked: %d", s)
	}
	c.in("A. Berg", "482703")
	if now := c.cookie().Value; now == token {
		t.Error("signing in kept the old token")
	}
	token = c.cookie().Value
	for range 5 { // what a page fetches by itself keeps nothing open
		off.Add(int64(150 * time.Second))
		r, err := http.NewRequest(http.MethodGet, i.url+"/", nil)
		must(t, err)
		r.Header.Set("Sec-Fetch-Mode", "cors")
		res, err := c.http.Do(r)
		must(t, err)
		_ = res.Body.Close()
	}
	if s := i.with(t, token, http.MethodGet, "/"); s != http.StatusUnauthorized {
		t.Errorf("after twelve minutes without a touch: %d", s)
	}
	c.in("A. Berg", "482703")
	for range 5 {
		off.Add(int64(150 * time.Second))
		if _, _, status := c.send("/awake", nil); status != http.StatusNoContent {
			t.Errorf("while somebody works: %d", status)
		}
	}
	other := i.browser(t)
	other.in("A. Berg", "482703")
	if _, _, status := c.send("/me", url.Values{"old": {"482703"}, "proof": {"591837"}, "again": {"591837"}}); status != http.StatusOK {
		t.Errorf("changing the number: %d", status)
	}
	if s := i.with(t, other.cookie().Value, http.MethodGet, "/"); s != http.StatusUnauthorized {
		t.Errorf("a session from before the number was changed: %d", s)
	}
	if s := i.with(t, c.cookie().Value, http.MethodGet, "/"); s != http.StatusOK {
		t.Errorf("the session that changed it: %d", s)
	}
}

// TestStreamEndsWithTheSession: what runs when somebody locks tells nothing more.
func TestStreamEndsWithTheSession(t *testing.T) {
	i := install(t, time.Now)
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist")
	_, at, _ := c.drop("/case", map[string][]byte{"upper.stl": []byte("no mesh")})
	heard := c.listen(at + "/stream")
	for end := time.Now().Add(10 * time.Second); !strings.Contains(heard(), "data:") && time.Now().Before(end); {
		time.Sleep(10 * time.Millisecond)
	}
	c.send("/lock", nil)
	was := heard()
	c.in("A. Berg", "482703")
	c.send(at+"/order", url.Values{"tooth": {"26"}})
	c.await(at, "refused")
	if now := heard(); was == "" || now != was {
		t.Errorf("after the lock the stream said %q", strings.TrimPrefix(now, was))
	}
}

// TestOtherNamesOfThisComputer reads as a page would whose name was pointed here.
func TestOtherNamesOfThisComputer(t *testing.T) {
	i := install(t, time.Now)
	for host, want := range map[string]int{"elsewhere.example": http.StatusMisdirectedRequest, "localhost.elsewhere.example:7330": http.StatusMisdirectedRequest, "localhost:7330": 200, "[::1]:7330": 200} {
		r, err := http.NewRequest(http.MethodGet, i.url+"/", nil)
		must(t, err)
		r.Host = host
		res, err := http.DefaultTransport.RoundTrip(r)
		must(t, err)
		_ = res.Body.Close()
		if res.StatusCode != want {
			t.Errorf("host %s: %d, want %d", host, res.StatusCode, want)
		}
	}
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist")
	for _, p := range []string{"/lock", "/me", "/people", "/who/" + c.id("A. Berg"), "/envelope"} {
		r, err := http.NewRequest(http.MethodPost, i.url+p, nil)
		must(t, err)
		r.AddCookie(c.cookie())
		r.Header.Set("Sec-Fetch-Site", "cross-site")
		res, err := http.DefaultTransport.RoundTrip(r)
		must(t, err)
		_ = res.Body.Close()
		if res.StatusCode != http.StatusForbidden {
			t.Errorf("POST %s from another site: %d", p, res.StatusCode)
		}
	}
	if s := i.with(t, c.cookie().Value, http.MethodGet, "/"); s != http.StatusOK {
		t.Errorf("another site locked the page: %d", s)
	}
}

// from sends a request as from an address, encrypted or not.
func (i *installation) from(addr string, encrypted bool, method, path string, form url.Values, cookies ...*http.Cookie) *http.Response {
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.RemoteAddr, r.Host, r.TLS = addr, "practice.example", nil
	if encrypted {
		r.TLS = &tls.ConnectionState{}
	}
	for _, c := range cookies {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	i.handler.ServeHTTP(w, r)
	return w.Result()
}

// TestFromAnotherComputer comes from elsewhere: encrypted only, with a password only.
func TestFromAnotherComputer(t *testing.T) {
	i := install(t, time.Now)
	const there = "10.0.0.9:4711"
	if s := i.from(there, true, http.MethodGet, "/", nil).StatusCode; s != http.StatusForbidden {
		t.Errorf("before anybody is known: %d", s)
	}
	if s := i.from(there, true, http.MethodPost, "/first", url.Values{"name": {"X"}, "role": {"manager"}, "proof": {"482703"}, "again": {"482703"}}).StatusCode; s != http.StatusForbidden {
		t.Errorf("the first person from elsewhere: %d", s)
	}
	c := i.browser(t)
	c.first("A. Berg", "482703", "dentist")
	if s := i.from(there, false, http.MethodGet, "/who", nil).StatusCode; s != http.StatusForbidden {
		t.Errorf("not encrypted: %d", s)
	}
	r, err := http.NewRequest(http.MethodGet, i.url+"/", nil)
	must(t, err)
	r.AddCookie(c.cookie())
	r.Header.Set("X-Forwarded-For", "127.0.0.1")
	res, err := http.DefaultTransport.RoundTrip(r)
	must(t, err)
	_ = res.Body.Close()
	if res.StatusCode != http.StatusForbidden {
		t.Errorf("passed on by another program: %d", res.StatusCode)
	}
	if s := i.from(there, true, http.MethodGet, "/", nil, c.cookie()).StatusCode; s != http.StatusUnauthorized {
		t.Errorf("the chair's cookie from elsewhere: %d", s)
	}
	c.in("A. Berg", "482703")
	in := func(proof string) *http.Response {
		return i.from(there, true, http.MethodPost, "/who", url.Values{"name": {"a. berg"}, "proof": {proof}})
	}
	if s := in("482703").StatusCode; s != http.StatusForbidden {
		t.Errorf("the number from elsewhere: %d", s)
	}
	if s := i.from(there, true, http.MethodPost, "/who/"+c.id("A. Berg"), url.Values{"proof": {"482703"}}).StatusCode; s != http.StatusNotFound {
		t.Errorf("the pad from elsewhere: %d", s)
	}
	page, _, status := c.send("/me", url.Values{"kind": {"password"}, "old": {"482703"}, "proof": {"seven wet umbrellas"}, "again": {"seven wet umbrellas"}})
	if status != http.StatusOK {
		t.Fatalf("setting a password: %d\n%s", status, page)
	}
	res = in("seven wet umbrellas")
	if res.StatusCode != http.StatusSeeOther || len(res.Cookies()) != 1 {
		t.Fatalf("the password from elsewhere: %d", res.StatusCode)
	}
	if s := i.from(there, true, http.MethodGet, "/", nil, res.Cookies()...).StatusCode; s != http.StatusOK {
		t.Errorf("signed in from elsewhere: %d", s)
	}
	if s := i.with(t, res.Cookies()[0].Value, http.MethodGet, "/"); s != http.StatusUnauthorized {
		t.Errorf("a cookie from elsewhere at the chair: %d", s)
	}
}

// TestTheEnvelope lets a manager back in, once.
func TestTheEnvelope(t *testing.T) {
	i := install(t, time.Now)
	c := i.browser(t)
	code := c.first("A. Berg", "482703", "dentist")
	stranger := i.browser(t)
	try := url.Values{"code": {code}, "person": {c.id("A. Berg")}, "proof": {"591837"}, "again": {"591837"}}
	page, _, status := stranger.send("/envelope", try)
	if status != http.StatusOK {
		t.Fatalf("the code: %d\n%s", status, page)
	}
	if _, _, status := stranger.send("/envelope", try); status != http.StatusForbidden {
		t.Errorf("the code opened twice: %d", status)
	}
	if _, status := stranger.in("A. Berg", "591837"); status != http.StatusOK {
		t.Errorf("the new number: %d", status)
	}
	page, _, _ = stranger.get("/people")
	wants(t, page, "envelope opened", "number or password set", "came in")
}
