package web_test

import (
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"selvage/internal/browser"
)

// days is a screen on pages whose clock is moved forward.
type days struct {
	screen
	now *atomic.Pointer[time.Time]
}

// on moves the clock to an hour of a day of 2026, and signs in anew: the page has locked
// itself meanwhile.
func (s days) on(month time.Month, day, hour int) {
	s.T.Helper()
	at := time.Date(2026, month, day, hour, 0, 0, 0, time.Local)
	s.Go("about:blank") // the page that is open looks again when a day begins, and would come between
	s.now.Store(&at)
	s.Go(s.url + "/board")
	if !strings.Contains(s.Inside(), "Who is here?") {
		return
	}
	s.Touch("A. Berg")
	s.Says("Your number")
	for _, d := range "482703" {
		s.Touch(string(d))
	}
	s.Touch("Come in")
	s.Says("On their way")
}

// board holds what the board says, from the top, against the words of standings.
func (s days) board(want ...string) {
	s.T.Helper()
	s.Go(s.url + "/board")
	s.Says("On their way")
	chips := browser.Ask[[]string](s.Page, `[...document.querySelectorAll(".board .chip")].map((e) => e.innerText)`)
	if strings.Join(chips, ", ") != strings.Join(want, ", ") {
		s.T.Errorf("on %s the board says %v, want %v", s.now.Load().Format(time.DateOnly), chips, want)
	}
}

// post sends a form from the page, as its own would.
func (s days) post(path, form string) {
	s.T.Helper()
	browser.Ask[float64](s.Page, `fetch("`+path+`", {method: "POST", body: new URLSearchParams("`+form+`")}).then((r) => { window.got = r.status; }), window.got = 0`)
	s.Until("window.got !== 0")
	if got := browser.Ask[float64](s.Page, "window.got"); got != 200 {
		s.T.Fatalf("%s: status %v", path, got)
	}
}

// open shows all that a page folds away.
func (s days) open() {
	browser.Ask[bool](s.Page, `(document.querySelectorAll("details").forEach((d) => { d.open = true; }), true)`)
}

// TestBrowserDaysAfter follows a case by touch through the days after its hand-off: nobody
// answers, the laboratory calls and asks, the answer is overdue and given by the dentist, the
// work is late, the seat visit comes near, it is here and looked at, the temporary stays for
// too long and comes loose. Memorial Day, 25 May, counts for nothing.
func TestBrowserDaysAfter(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a browser")
	}
	s, path := handedOver(t)
	hand := s.url + path + "/hand-off"
	s.asked(path, hand)
	s.comesBack(hand)
	s.stays(path, hand)
	s.cutsAtOnce()
}

// cutsAtOnce releases the block of the other case, which is made in the house: no day is
// asked for, and without a check it needs a reason.
func (s days) cutsAtOnce() {
	s.T.Helper()
	s.Go(s.url + "/board")
	path := browser.Ask[string](s.Page, `[...document.querySelectorAll(".board a")].find((a) => a.innerText.includes("C-1008")).getAttribute("href").replace(/.hand-off$/, "")`)
	s.post(path+"/order", "tooth=36&material=lithium-disilicate")
	s.post(path+"/plan", "made_by=in-house")
	s.Go(s.url + path + "/hand-off")
	s.Says("Before the block is cut")
	s.sound("the mill")
	for i, side := range []string{"18", "14", "12"} {
		s.Do(chromedp.SendKeys(fmt.Sprintf(`.mill form[method=get] label:nth-of-type(%d) input`, i+1), side))
	}
	s.Touch("Look with this block")
	s.Until(`document.querySelector('form[method=post] input[name=side]')?.value === "18"`)
	s.Touch("the dentist decided so")
	s.Touch("Release the block")
	s.Says("block 18 × 14 × 12 mm")
	s.sound("the mill, released")
	s.Go(s.url + "/board")
	s.Says("Inspected, to be seated.")
}

// handedOver is a case that was handed over on a Monday, beside another that was not.
func handedOver(t *testing.T) (s days, path string) {
	t.Helper()
	var now atomic.Pointer[time.Time]
	at := time.Date(2026, 5, 4, 10, 0, 0, 0, time.Local)
	now.Store(&at)
	home := install(t, func() time.Time { return *now.Load() })
	s = days{browse(t, home.url), &now}
	s.Fingers()
	s.Go(s.url + "/")
	s.post("/first", "name=A. Berg&role=dentist&role=manager&proof=482703&again=482703")
	s.Go(s.url + "/")
	s.post("/practice", "name=Mill Lane&signers=A. Berg, D-77&rule=us-fl&region=US")
	s.post("/laboratory/new", "name=North Bench&address=2 Mill Lane&days=5&back=2&cut_off=15:00&files_only=yes&contacts=light&if_space_short=call")
	s.post("/case", "name=C-1007")
	s.post("/case", "name=C-1008")
	s.Go(s.url + "/board")
	s.Says("C-1007")
	path = browser.Ask[string](s.Page, `[...document.querySelectorAll(".board a")].find((a) => a.innerText.includes("C-1007")).getAttribute("href").replace(/.hand-off$/, "")`)
	s.post(path+"/order", "tooth=26&material=lithium-disilicate")
	s.post(path+"/plan", "dates.prepared=2026-05-04&dates.due=2026-05-20&dates.seat=2026-05-27&made_by=laboratory")
	s.Go(s.url + path + "/hand-off")
	s.Touch("Sent another way")
	s.Says("sent another way · A. Berg")
	s.board("to send", "out")
	return s, path
}

// asked has nobody answer, the laboratory ask, its day go by, and the dentist answer.
func (s days) asked(path, hand string) {
	s.T.Helper()
	s.on(5, 5, 9)
	s.board("to send", "no answer")
	s.Go(hand)
	s.open()
	browser.Ask[bool](s.Page, `(document.querySelector('select[name=reason]').value = "margin-unclear", true)`)
	s.Do(chromedp.SendKeys(`details input[name=text]`, "distal?"))
	s.Touch("asks")
	s.Says("The laboratory asks, and the clock stands:")
	s.Says("the margin cannot be told · distal?")
	s.Says("For the dentist · A. Berg answers for it · by 2026-05-06")
	s.Says("Every day without an answer is a day later.")
	s.sound("a query")
	s.board("asked", "to send")
	s.sound("the board")
	s.Go(s.url + path)
	s.Says("The laboratory asks, and the clock stands:")

	s.on(5, 7, 9)
	s.board("answer overdue", "to send")
	s.Go(s.url + "/")
	s.Says("1 to chase today")
	s.Go(s.url + path + "/dentist")
	s.Says("it was to be answered by 2026-05-06")
	s.sound("the dentist is asked")
	s.Do(chromedp.SendKeys(`textarea[name=text]`, "called, nobody there"))
	s.Touch("Note it, not answered yet")
	s.Says("called, nobody there")
	s.board("answer overdue", "to send")
	s.Go(s.url + path + "/dentist")
	s.Do(chromedp.SendKeys(`textarea[name=text]`, "where it is drawn"))
	s.Touch("Answered")
	s.Says("where it is drawn")
	s.board("to send", "out")

	s.on(5, 8, 9)
	s.Go(hand)
	s.open()
	s.Touch("accepted")
	s.Says("North Bench, on the telephone to A. Berg: accepted")
	// From acceptance: 11, 12, 13, 14, 15; the carrier 18, 19.
	s.Says("Back on 2026-05-19, as things stand.")
}

// comesBack has the work late, the seat visit near, and the work here and looked at.
func (s days) comesBack(hand string) {
	s.T.Helper()
	s.on(5, 20, 9)
	s.board("to send", "out")
	s.on(5, 21, 9)
	s.board("late", "to send")
	s.Go(hand)
	s.Says("It should have been here on 2026-05-20.")
	s.on(5, 22, 9) // two working days before Wednesday the 27th: 26, 27
	s.board("seat soon", "to send")

	for i, want := range []string{"seat soon", "here"} {
		s.Go(hand)
		s.open()
		browser.Ask[bool](s.Page, fmt.Sprintf(`([...document.querySelectorAll("input[name=sound]")].forEach((e, i) => { e.checked = %d > 0 || i < 2; }), true)`, i))
		browser.Ask[bool](s.Page, `(document.querySelector("form[action$=returned] button").click(), true)`)
		s.Says("It came on 2026-05-22")
		if i > 0 {
			s.Says("All of it was looked at and is sound.")
			s.board("to send", want)
		} else {
			s.board(want, "to send")
		}
	}
}

// stays has the temporary in place for too long, loose, and back on.
func (s days) stays(path, hand string) {
	s.T.Helper()
	s.on(6, 2, 9) // twenty working days after the fourth of May
	s.board("to send", "here")
	s.Go(hand)
	s.Says("Temporary in place for 20 working days.")
	s.on(6, 3, 9)
	s.board("temporary too long", "to send")
	s.Go(hand)
	s.Says("The temporary has been in place for 21 working days")
	s.sound("the temporary")
	s.Touch("It is loose or lost")
	s.Says("see the patient today")
	s.board("temporary loose", "to send")
	s.Go(hand)
	s.Touch("It is back on")
	s.Until(`!document.body.innerText.includes("see the patient today")`)
	s.Go(s.url + path + "/history")
	for _, what := range []string{"handed off", "the laboratory answered", "noted on the laboratory's query", "the laboratory's query answered", "back from the laboratory", "the temporary noted"} {
		s.Says(what)
	}
}
