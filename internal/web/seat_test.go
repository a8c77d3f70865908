package web_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"selvage/internal/browser"
)

// seatable is a checked case that was sent another way, and its page's path.
func (c *chair) seatable(name string) string {
	c.t.Helper()
	scans, err := made()
	must(c.t, err)
	_, at, _ := c.drop("/case", scans)
	c.send(at+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}, "cement": {"adhesive"}, "finish_line": {"heavy-chamfer"}})
	c.await(at, "answer")
	return at
}

// TestFromTryInToRemake goes through a visit that ends in a remake without a script: the
// steps in any order, a corrected word, and each party's own view beside what the check had
// said when the work went out, not what a later one says.
func TestFromTryInToRemake(t *testing.T) {
	c := sit(t)
	at := c.seatable("C-1007")
	c.first("A. Berg", "482703", "dentist", "manager")
	c.send(at+"/decide", url.Values{"choice": {"accept"}, "reason": {"Seen and probed"}})
	c.send(at+"/hand-off", url.Values{"do": {"elsewhere"}})
	page, _, _ := c.get(at + "/seat")
	wants(t, page, "not in the building", "Step 1 of 14", "In the hand", "Bite once more")
	c.send(at+"/returned", url.Values{"sound": {"tooth"}, "device": {"UDI-77"}})
	page, _, _ = c.get(at + "/seat?step=margin")
	if strings.Contains(page, "not in the building") {
		t.Error("it came back")
	}
	wants(t, page, "Better first: Contacts, Inside")
	page, _, _ = c.send(at+"/seat/step", url.Values{"step": {"contacts"}, "result": {"not-good"}, "wrong": {"distal-tight"}})
	wants(t, page, "Step 4 of 14", "Not right: distal too tight", "Adjusted, minutes:")
	c.send(at+"/seat/minutes", url.Values{"step": {"contacts"}, "minutes": {"2"}})
	page, _, _ = c.send(at+"/seat/step", url.Values{"step": {"contacts"}, "result": {"good"}})
	wants(t, page, "Step 1 of 14", "2 min of adjusting")
	page, _, _ = c.get(at + "/seat?again=1&end=1")
	wants(t, page, `name="minutes" inputmode="numeric" autocomplete="off" value="2"`, `value="UDI-77"`)
	_, _, status := c.send(at+"/seated", url.Values{"outcome": {"remake"}})
	if status != http.StatusConflict {
		t.Errorf("made again for no reason: status %d", status)
	}
	c.send(at+"/seated", url.Values{"outcome": {"as-made"}, "minutes": {"2"}, "cement": {"resin"}, "lot": {"L-5"}, "device": {"UDI-77"}})
	page, where, _ := c.send(at+"/seated", url.Values{"outcome": {"remake"}, "minutes": {"2"}, "seen": {"margin"}, "fix": {"yes"}})
	if !strings.Contains(where, "/remake") {
		t.Errorf("a remake leads on to %s", where)
	}
	wants(t, page, "to be made again", "Wrong: margin.", "What the check had said at hand-off", "Decided: Accept · A. Berg: Seen and probed", "speaks of what was seen", "Nothing said yet.")
	line := regexp.MustCompile(`(?s)What the check had said at hand-off</h2>.*?<p class="say">(.*?)</p>`).FindStringSubmatch(page)[1]
	if !strings.Contains(line, "margin") {
		t.Errorf("at hand-off the check had said %q", line)
	}
	c.send(at+"/remake", url.Values{"party": {"laboratory"}, "seen": {"margin"}, "found": {"on-model"}, "origin": {"scan", "preparation"}, "text": {"<b>short</b>"}})
	page, _, _ = c.send(at+"/remake", url.Values{"party": {"laboratory"}, "seen": {"margin"}, "origin": {"cannot-tell"}})
	wants(t, page, "cannot tell", "before:", "the scan, the preparation", "&lt;b&gt;short")
	c.send(at+"/remake/pays", url.Values{"who": {"open"}})
	page, _, _ = c.send(at+"/remake/pays", url.Values{"who": {"laboratory"}})
	wants(t, page, "the laboratory, noted", "before: not settled")
	page, _, _ = c.get(at + "/seat")
	wants(t, page, "before:", "seated as made", "UDI-77")
	for _, p := range []string{"/remake?visit=3", "/remake?visit=x"} {
		if _, status, _ := c.get(at + p); status != http.StatusNotFound {
			t.Errorf("%s: status %d", p, status)
		}
	}
	page, _, _ = c.get(at + "/history")
	wants(t, page, "step of the try-in", "minutes of adjusting", "view of a remake noted", "who pays noted")

	c.send(at+"/order", url.Values{"material": {"zirconia-3y"}})
	c.await(at, "answer")
	page, _, _ = c.get(at + "/remake")
	if then := regexp.MustCompile(`(?s)What the check had said at hand-off</h2>.*?<p class="say">(.*?)</p>`).FindStringSubmatch(page)[1]; then != line {
		t.Errorf("a later check changed what was said at hand-off: %q, was %q", then, line)
	}
}

// post sends a form from within the page, as who is signed in there.
func (s screen) post(path, form string) {
	s.T.Helper()
	browser.Ask[bool](s.Page, `fetch("`+path+`", {method: "POST", body: new URLSearchParams("`+form+`")}).then((r) => { window.got = r.status; }), (window.got = 0, true)`)
	s.Until("window.got !== 0")
	if got := browser.Ask[float64](s.Page, "window.got"); got != 200 {
		s.T.Fatalf("%s: status %v", path, got)
	}
}

// TestBrowserSeatsByTouch tries work in with a finger, notes that it is made again, and why.
func TestBrowserSeatsByTouch(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	c := sit(t)
	at := c.seatable("C-1007")
	s := browse(t, c.url)
	s.Fingers()
	s.Go(s.url + "/")
	s.post("/first", "name=A. Berg&role=dentist&role=manager&proof=482703&again=482703")
	s.post(at+"/hand-off", "do=elsewhere")
	s.post(at+"/returned", "sound=tooth&device=UDI-77")
	s.Go(s.url + at + "/hand-off")
	s.Touch("Try in and seat")
	s.Says("Step 1 of 14")
	s.looked("seat")
	s.Touch("Good")
	s.Says("Temporary off")
	s.Touch("Done")
	s.Says("Step 3 of 14")
	s.Touch("Left out")
	s.Says("Step 4 of 14")
	s.Touch("Not right")
	s.Says("What is not right?")
	s.Touch("distal too tight")
	s.looked("seat-wrong")
	s.Touch("Note it")
	s.Says("Adjusted, minutes:")
	s.Touch("+2")
	s.Says("2 min of adjusting")
	s.looked("seat-minutes")
	s.Touch("Good")
	s.Says("Step 5 of 14")
	s.Touch("How it ended")
	s.Says("minutes of adjusting")
	s.fill("cement", "resin")
	s.fill("lot", "L-5")
	browser.Ask[bool](s.Page, `(document.querySelector("select[name=seen]").value = "margin", true)`)
	s.looked("seat-end")
	s.Touch("to be made again")
	s.Says("What the check had said at hand-off")
	s.Touch("Note the view")
	s.Says("Each party has its own view")
	s.looked("remake-view")
	s.Touch("on the model")
	s.Touch("the scan")
	s.Touch("cannot tell")
	s.Touch("Note it")
	s.Says("the scan, cannot tell")
	s.Touch("not settled")
	s.Says("not settled, noted")
	s.looked("remake")
	s.Go(s.url + at + "/seat")
	s.Says("Correct what was noted")
	s.looked("seat-done")
}
