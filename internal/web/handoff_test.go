package web_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"selvage/internal/browser"
	"selvage/internal/exchange"
)

// TestFromSignatureToReceipt hands a checked case over and takes the laboratory's answers
// in, without a script.
func TestFromSignatureToReceipt(t *testing.T) {
	scans, err := made()
	must(t, err)
	c := sit(t)
	_, at, _ := c.drop("/case", scans)
	c.send(at+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}, "cement": {"adhesive"}, "finish_line": {"heavy-chamfer"}})
	c.first("A. Berg", "482703", "dentist", "manager")
	c.send("/practice", url.Values{"name": {"Mill Lane"}, "signers": {"A. Berg, D-77"}, "rule": {"us-md"}, "region": {"US"}})
	c.send("/laboratory/new", url.Values{"name": {"North Bench"}, "address": {"2 Mill Lane"}, "days": {"5"}, "back": {"2"}, "files_only": {"yes"}, "contacts": {"light"}, "if_space_short": {"call"}})
	c.await(at, "answer")
	page, _, _ := c.get(at + "/hand-off")
	wants(t, page, "is not signed", "lacks something", "has not accepted it")
	if page, _, status := c.send(at+"/hand-off", nil); status != http.StatusConflict || !strings.Contains(page, "not signed") {
		t.Errorf("handed off unsigned: %d", status)
	}
	c.send(at+"/decide", url.Values{"choice": {"accept"}, "reason": {"Seen and probed"}})
	page, _, _ = c.send(at+"/plan", url.Values{
		"patient.reference": {"P-1007"}, "dates.due": {"2099-05-12"}, "dates.seat": {"2099-05-18"}, "shade.body": {"2M2"}, "shade.guide": {"G"}, "shade.stump": {"ND3"},
		"shade.before_drying": {"yes"},
	})
	wants(t, page, "Nothing is missing.", "What fits the room of", "lithium disilicate")
	page, _, _ = c.get(at + "/plan/sign")
	hash := regexp.MustCompile(`name="check" value="([^"]+)"`).FindStringSubmatch(page)[1]
	c.send(at+"/plan/sign", url.Values{"check": {hash}, "proof": {"482703"}})

	pdf, status, h := c.get(at + "/order.pdf")
	if status != http.StatusOK || h.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(pdf, "%PDF-") || len(pdf) < 20_000 {
		t.Errorf("the work order: status %d, %s, %d bytes", status, h.Get("Content-Type"), len(pdf))
	}
	page, _, status = c.send(at+"/hand-off", url.Values{"scrub": {"yes"}})
	if status != http.StatusOK {
		t.Fatalf("status %d", status)
	}
	wants(t, page, "parcel of version 1 · A. Berg", "case_26.zip", "Files and hashes", "case_26_working.stl", "Back on ")
	link := regexp.MustCompile(`href="(/case/[^"]+/hand-off/0/case_26.zip)"`).FindStringSubmatch(page)[1]
	data, _, h := c.get(link)
	if !strings.Contains(h.Get("Content-Disposition"), `attachment; filename="case_26.zip"`) {
		t.Errorf("served as %q", h.Get("Content-Disposition"))
	}
	o, err := exchange.Verify(strings.NewReader(data), int64(len(data)))
	must(t, err)
	if len(o.Wrong) > 0 {
		t.Errorf("wrong: %v", o.Wrong)
	}
	var names []string
	for _, f := range o.Manifest.Files {
		names = append(names, f.Name)
	}
	wants(t, strings.Join(names, " "), "case_26_work-order.pdf", "case_26_margin.obj", "case_26_geometry.json", "case_26_report.html", "pictures/case_26_1.png", "view.html", "receipt.html", "case_26_opposing.stl")

	page, status = c.upload(at+"/receipt", `{"schema":"selvage.receipt/1","parcel":"another","answer":"accept","by":"T.","at":"2026-05-04T11:00:00Z"}`)
	if status != http.StatusConflict {
		t.Errorf("a receipt for another case: status %d\n%s", status, page)
	}
	page, status = c.upload(at+"/receipt", `{"schema":"selvage.receipt/1","parcel":"`+o.Manifest.Parcel+`","answer":"query","reason":"margin-unclear","text":"<b>distal</b>","by":"T. North","at":"2026-05-04T11:00:00Z"}`)
	if status != http.StatusOK {
		t.Fatalf("status %d", status)
	}
	wants(t, page, "The laboratory asks, and the clock stands", "&lt;b&gt;distal", "T. North", "the margin cannot be told", "Every day without an answer")
	page, _, _ = c.send(at+"/answer", url.Values{"text": {"where it is drawn"}})
	wants(t, page, "where it is drawn")
	if strings.Contains(page, "and the clock stands") {
		t.Error("it is answered, and still asked")
	}
	page, _, _ = c.send(at+"/receipt", url.Values{"answer": {"accept"}, "reason": {"shade"}})
	wants(t, page, "North Bench, on the telephone to A. Berg: accepted")
	page, _, _ = c.send(at+"/hand-off", url.Values{"do": {"elsewhere"}})
	wants(t, page, "sent another way · A. Berg")
	page, _, _ = c.get(at + "/history")
	wants(t, page, "handed off", "the laboratory answered", "query answered")
	for _, p := range []string{at + "/hand-off/7/case_26.zip", at + "/hand-off/0/other.zip", at + "/hand-off/x/case_26.zip", at + "/hand-off/1/"} {
		if _, status, _ := c.get(p); status != http.StatusNotFound {
			t.Errorf("%s: status %d", p, status)
		}
	}
}

func TestHandOffNeedsRights(t *testing.T) {
	c := install(t, time.Now).browser(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	for _, path := range []string{"/hand-off", "/receipt", "/answer"} {
		if _, _, status := c.send(at+path, url.Values{"do": {"elsewhere"}}); status != http.StatusForbidden {
			t.Errorf("%s by nobody: status %d", path, status)
		}
	}
}

// upload sends a receipt as the form does.
func (c *chair) upload(path, text string) (page string, status int) {
	c.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	w, err := m.CreateFormFile("receipt", "receipt.json")
	must(c.t, err)
	_, err = w.Write([]byte(text))
	must(c.t, err)
	must(c.t, m.Close())
	res, err := c.http.Post(c.url+path, m.FormDataContentType(), &b)
	must(c.t, err)
	defer res.Body.Close()
	var out bytes.Buffer
	_, err = out.ReadFrom(res.Body)
	must(c.t, err)
	return out.String(), res.StatusCode
}

// TestBrowserCarriesACase looks with axe-core at the pages that carry a case, and measures
// what is tapped on them.
func TestBrowserCarriesACase(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	s := browse(t, sit(t).url)
	s.Fingers()
	s.Go(s.url + "/")
	post := func(path, form string) {
		t.Helper()
		if got := browser.Ask[float64](s.Page, `fetch("`+path+`", {method: "POST", body: new URLSearchParams("`+form+`")}).then((r) => { window.got = r.status; }), window.got = 0`); got != 0 {
			t.Fatal("the page is not fresh")
		}
		s.Until("window.got !== 0")
		if got := browser.Ask[float64](s.Page, "window.got"); got != 200 {
			t.Fatalf("%s: status %v", path, got)
		}
	}
	post("/first", "name=A. Berg&role=dentist&role=manager&proof=482703&again=482703")
	s.Go(s.url + "/")
	post("/practice", "name=Mill Lane&signers=A. Berg, D-77&rule=us-fl&region=US")
	post("/laboratory/new", "name=North Bench&address=2 Mill Lane&days=5&back=2&contacts=light&if_space_short=call")
	post("/case", "name=C-1007")
	for _, p := range [][3]string{{"/practice", "Practice and laboratories", "practice-filled"}, {"/laboratory/new", "Another laboratory", "laboratory"}, {"/board", "On their way", "board"}} {
		s.Go(s.url + p[0])
		s.Says(p[1])
		s.looked(p[2])
	}
	at := browser.Ask[string](s.Page, `document.querySelector(".board a").getAttribute("href").replace(/.hand-off$/, "")`)
	post(at+"/order", "tooth=26&material=lithium-disilicate")
	post(at+"/plan", "dates.due=2026-01-02&shade.body=2M2&alerts=nickel&alerts=latex")
	for _, p := range [][3]string{
		{"/plan", "Missing", "plan-missing"},
		{"/plan?edit=what", "Finish line", "plan-what"},
		{"/plan?edit=goods", "Alerts", "plan-goods"},
		{"/plan?edit=people", "Licence number", "plan-people"},
		{"/hand-off", "Before it can be sent", "hand-off-not-yet"},
	} {
		s.Go(s.url + at + p[0])
		s.Says(p[1])
		s.looked(p[2])
	}
	post(at+"/hand-off", "do=elsewhere")
	post(at+"/receipt", "answer=query&reason=margin-unclear&text=distal")
	s.Go(s.url + at + "/hand-off")
	s.Says("The laboratory asks")
	s.looked("hand-off-asked")
	browser.Ask[bool](s.Page, `document.querySelectorAll("details").forEach((d) => { d.open = true; }), true`)
	s.lookedAt("return", ".back")
	s.Go(s.url + "/board")
	s.Says("On their way")
	s.looked("board-asked")
}

// TestMillGate takes a case that is made in the house to the release of its block: no day is
// asked for, and without a check or a block it needs a reason.
func TestMillGate(t *testing.T) {
	c := install(t, time.Now).browser(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	c.send(at+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	c.first("A. Berg", "482703", "dentist", "manager")
	page, _, _ := c.get(at + "/hand-off")
	if strings.Contains(page, "Before the block is cut") {
		t.Error("a laboratory's case is to be cut")
	}
	page, _, _ = c.send(at+"/plan", url.Values{"made_by": {"in-house"}})
	if strings.Contains(page, "dates.due\" value") || regexp.MustCompile(`name="lack" value="dates\.(due|seat)"`).MatchString(page) {
		t.Error("same-day work is asked for a day")
	}
	page, _, _ = c.get(at + "/hand-off")
	wants(t, page, "Before the block is cut", "no block was released", "is not signed", "Release the block", "It is cut all the same, because")
	if _, _, status := c.send(at+"/mill", url.Values{"side": {"18", "14", "12"}}); status != http.StatusConflict {
		t.Errorf("released without a reason: %d", status)
	}
	page, _, _ = c.send(at+"/mill", url.Values{"side": {"18", "14,5", "12"}, "lot": {"L-5"}, "reason": {"the dentist decided so"}})
	wants(t, page, "block 18 × 14.5 × 12 mm, lot L-5. the dentist decided so", "by A. Berg")
	page, _, _ = c.get("/board")
	wants(t, page, "Inspected, to be seated.")
	c.send(at+"/plan", url.Values{"shade.body": {"3M2"}})
	page, _, _ = c.get(at + "/hand-off")
	wants(t, page, "that release holds no more", "18 × 14.5 × 12")
}
