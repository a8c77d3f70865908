package web_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
)

// TestPrescriptionFromProfileToSignature writes the profiles once, then signs a
// prescription in which nothing was entered twice.
func TestPrescriptionFromProfileToSignature(t *testing.T) {
	monday := time.Date(2026, 5, 4, 10, 0, 0, 0, time.Local)
	c := install(t, func() time.Time { return monday }).browser(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	if _, _, status := c.send(at+"/plan", url.Values{"shade.body": {"2M2"}}); status != http.StatusConflict {
		t.Errorf("a shade for no tooth: status %d", status)
	}
	c.send(at+"/order", url.Values{"tooth": {"26"}, "material": {"lithium-disilicate"}})
	c.first("A. Berg", "482703", "dentist", "manager")

	c.send("/practice", url.Values{
		"name": {"Mill Lane"}, "address": {"1 Mill Lane"}, "phone": {"555"}, "signers": {"A. Berg, D-77\nB. Tal, D-78"}, "rule": {"us-fl"}, "region": {"US"}, "free": {"4", "5", "6"},
	})
	page, _, _ := c.send("/laboratory/new", url.Values{
		"name": {"North <Lab>"}, "address": {"2 Mill Lane"}, "licence": {"L-9"}, "days": {"5"}, "back": {"2"}, "cut_off": {"15:00"}, "files_only": {"yes"},
		"contacts": {"light"}, "if_space_short": {"call"}, "requires": {"shade.guide"},
	})
	wants(t, page, "North &lt;Lab&gt;")

	page, _, _ = c.get(at + "/plan")
	wants(t, page, "Mill Lane, 1 Mill Lane", "D-77", "L-9", "from the profile", "Missing: ", "64B5-17.006", "asked by the laboratory",
		"Back on 2026-05-13 at the earliest, seated on 2026-05-18", "stump shade", "Florida")
	page, _, status := c.send(at+"/plan", url.Values{"shade.body": {"2M2"}, "shade.guide": {"G"}, "shade.stump": {"ND3"}, "shade.before_drying": {"no"}, "facial_thickness_mm": {"1,2"}})
	if status != http.StatusOK {
		t.Fatalf("status %d", status)
	}
	wants(t, page, "2M2", "ND3", "too light then")
	for field, bad := range map[string]string{"material": "gold", "facial_thickness_mm": "thin", "shade.measured": "74 1", "if_space_short": "guess", "rule": "us-xx"} {
		if _, _, status := c.send(at+"/plan", url.Values{field: {bad}}); status != http.StatusConflict {
			t.Errorf("%s %q: status %d, want a refusal", field, bad, status)
		}
	}
	page, _, _ = c.send(at+"/plan", url.Values{"dates.due": {"2026-05-11"}, "dates.seat": {"2026-05-18"}})
	wants(t, page, "It cannot be back by 2026-05-11", "take 2026-05-13")
	page, _, _ = c.send(at+"/plan/keep", url.Values{"why": {"due-too-early"}, "day": {"2026-05-11"}, "reason": {"agreed by telephone"}})
	if regexp.MustCompile("cannot be back by").MatchString(page) {
		t.Error("the day is kept, and it still warns")
	}
	page, _, _ = c.send(at+"/plan", url.Values{"patient.reference": {"P-1007"}, "cement": {"adhesive"}, "finish_line": {"chamfer"}})
	wants(t, page, "Nothing is missing.")
	page, _, _ = c.send(at+"/plan", url.Values{"shade.stump": {""}})
	wants(t, page, "Missing: 1")
	page, _, _ = c.send(at+"/plan/mark", url.Values{"lack": {"26 shade.stump"}, "how": {"to-follow"}})
	wants(t, page, "to follow · A. Berg")

	c.send(at+"/plan", url.Values{"prescriber.name": {"B. Tal"}})
	page, _, _ = c.get(at + "/plan/sign")
	wants(t, page, "It names B. Tal as the dentist, and A. Berg signs.")
	c.send(at+"/plan", url.Values{"prescriber.name": {"A. Berg"}, "prescriber.licence": {"D-77"}})
	page, _, _ = c.get(at + "/plan/sign")
	wants(t, page, "your number once more", "2M2", "upper left first molar")
	if strings.Contains(page, "and A. Berg signs") {
		t.Error("who signs is who is named, and it is doubted")
	}
	hash := regexp.MustCompile(`name="check" value="([^"]+)"`).FindStringSubmatch(page)[1]
	if _, _, status = c.send(at+"/plan/sign", url.Values{"check": {"another"}, "proof": {"482703"}}); status != http.StatusConflict {
		t.Errorf("signed something else than was shown: %d", status)
	}
	page, _, _ = c.send(at+"/plan/sign", url.Values{"check": {hash}, "proof": {"482703"}})
	wants(t, page, "Version 1, signed by A. Berg")
	page, _, _ = c.send(at+"/plan", url.Values{"shade.guide": {"another"}})
	wants(t, page, "2M2", "sign it again before it is sent")
	page, _, _ = c.get(at + "/history")
	wants(t, page, "prescription signed", "something missing: said why", "a date kept against the calendar")
}

// TestAlertIsSaidAtItsStep says at the clock what matters there, and nothing else.
func TestAlertIsSaidAtItsStep(t *testing.T) {
	c := sit(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	c.send(at+"/order", url.Values{"tooth": {"26"}})
	page, _, _ := c.get(at + "/clock")
	if regexp.MustCompile("Mind, at retraction").MatchString(page) {
		t.Error("an alert that nobody entered")
	}
	c.send(at+"/plan", url.Values{"alerts": {"", "adrenaline", "nickel"}})
	page, _, _ = c.get(at + "/clock")
	wants(t, page, "Mind, at retraction: no adrenaline")
	if regexp.MustCompile("nickel").MatchString(page) {
		t.Error("nickel matters to the material, not to the cord")
	}
}

func TestPrescriptionNeedsRights(t *testing.T) {
	c := sit(t)
	_, at, _ := c.drop("/case", map[string][]byte{"x.stl": []byte("no scan")})
	c.send(at+"/order", url.Values{"tooth": {"26"}})
	if _, _, status := c.send(at+"/plan", url.Values{"shade.body": {"2M2"}}); status != http.StatusOK {
		t.Errorf("before anybody is known a prescription may be written: %d", status)
	}
	for path, f := range map[string]url.Values{
		at + "/plan/mark": {"lack": {"dates.due"}, "how": {"to-follow"}}, at + "/plan/sign": {"check": {"x"}}, "/practice": {"name": {"x"}}, "/laboratory/new": {"name": {"x"}},
	} {
		if _, _, status := c.send(path, f); status != http.StatusForbidden {
			t.Errorf("%s by nobody: status %d", path, status)
		}
	}
}
