package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// TestClock packs two cords, takes one out to scan, and must be told of the other until
// the dentist says why it stays.
func TestClock(t *testing.T) {
	c := sit(t)
	_, at, _ := c.drop("/case", map[string][]byte{"working.stl": []byte("no mesh")})
	clock := at + "/clock"
	page, _, _ := c.get(clock)
	wants(t, page, "How is the sulcus opened?", "5 to 10 minutes", "Follow the product’s instructions")
	tell := func(what string) string {
		page, _, status := c.send(clock, url.Values{"what": {what}, "method": {"cord-aluminium-chloride"}})
		if status != http.StatusOK {
			t.Fatalf("%s: status %d", what, status)
		}
		return page
	}
	tell("began")
	tell("cord-in")
	page = tell("cord-in")
	wants(t, page, "Cords still in: 2.", `data-least="300"`, `data-most="600"`)
	page = tell("cord-out-now")
	wants(t, page, "Cords still in: 1.", "Sulcus open since", `data-least="40"`, `data-most="60"`, "Scan now, the line angles first")
	page, _, _ = c.get(at)
	wants(t, page, "Cords still in: 1.", "Neither cement the temporary nor let the patient go")
	page = tell("take-back") // the sulcus was not open after all
	if strings.Contains(page, "Sulcus open since") {
		t.Error("what was taken back still counts")
	}
	tell("opened")
	why := url.Values{"reason": {"The dentist leaves it in on purpose"}}
	if _, _, status := c.send(at+"/stays", why); status != http.StatusForbidden {
		t.Errorf("nobody said why the cord stays in: status %d", status)
	}
	c.first("Dr Vela", "739105", "dentist")
	page, _, _ = c.send(at+"/stays", why)
	wants(t, page, "Stays in: The dentist leaves it in on purpose")
	if strings.Contains(page, "Neither cement") {
		t.Error("the reminder outlived the dentist's reason")
	}
	if _, _, status := c.send(at+"/stays", nil); status != http.StatusConflict {
		t.Errorf("no reason: status %d, want a refusal", status)
	}
	for _, f := range []url.Values{{"what": {"explained"}, "reason": {"x"}}, {"what": {"boil"}}, {"what": {"began"}, "method": {"none such"}}} {
		if _, _, status := c.send(clock, f); status != http.StatusConflict {
			t.Errorf("%v: status %d, want a refusal", f, status)
		}
	}
	c.send(at+"/order", url.Values{"tooth": {"26"}})
	page, _, _ = c.send(at+"/shim", url.Values{"upper": {"25"}, "lower": {"35"}, "held": {"yes"}})
	wants(t, page, "25 / 35: held")
	page, _, _ = c.send(at+"/shim", url.Values{"upper": {"25"}, "lower": {"35"}, "held": {"no"}})
	wants(t, page, "25 / 35: slipped through")
	if strings.Contains(page, "25 / 35: held") {
		t.Error("the pair stands twice")
	}
	if _, _, status := c.send(at+"/shim", url.Values{"upper": {"35"}, "lower": {"25"}, "held": {"yes"}}); status != http.StatusConflict {
		t.Errorf("a pair upside down: status %d, want a refusal", status)
	}
}
