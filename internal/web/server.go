// Package web serves the page at the chair: HTML made on the server, which works
// without a script, and a stream of events that lets a script keep it fresh.
//
// It calls no analysis. What it shows is read from package work, which alone changes
// anything. Every address is served with a policy that lets nothing be loaded from
// elsewhere, and every change is refused that another site's page sent.
package web

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"

	"selvage/internal/drill"
	"selvage/internal/people"
	"selvage/internal/report"
	"selvage/internal/web/exercise"
	"selvage/internal/web/gauges"
	"selvage/internal/web/page"
	"selvage/internal/web/rate"
	"selvage/internal/web/review"
	"selvage/internal/web/seat"
	"selvage/internal/web/ui"
	"selvage/internal/web/way"
	"selvage/internal/work"
)

//go:embed pages/*.html
var pageFiles embed.FS

//go:embed assets/*
var assetFiles embed.FS

// Server serves the pages.
type Server struct {
	desk    *work.Desk
	pages   *template.Template
	bundle  fs.FS
	version string
	log     *slog.Logger

	book     *people.Book
	sessions *scs.SessionManager
	now      func() time.Time
	rates    rate.Rates
	gauges   *gauges.Gauges
}

// New returns the handler of all pages.
func New(o work.Shop) (http.Handler, error) {
	pages, err := template.New("").Funcs(template.FuncMap{"path": join, "known": seat.Known}).ParseFS(pageFiles, "pages/*.html")
	if err != nil {
		return nil, err
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if len(o.Secret) == 0 {
		return nil, errors.New("web: people's numbers need a secret to be mixed with")
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	s := &Server{desk: o.Desk, pages: pages, bundle: ui.Dist(), version: o.Version, log: o.Log, now: o.Now}
	s.book = people.Open(o.Desk.Ledger(), o.Secret, o.Now)
	s.sessions = newSessions(s.book, o.Secure)
	s.sessions.ErrorFunc = s.fail
	s.gauges = gauges.New(o.Desk, o.Version)
	return guard(s.routes()), nil
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page(s.start))
	mux.HandleFunc("GET /stream", s.streamAll)
	mux.HandleFunc("GET /style.css", style)
	mux.Handle("GET /assets/", http.FileServerFS(assetFiles))
	mux.HandleFunc("GET /words/view/{file}", s.page(viewWords))
	mux.Handle("GET /ui/", http.StripPrefix("/ui/", http.FileServerFS(s.bundle)))
	mux.HandleFunc("GET /case/{case}", s.page(s.showCase))
	mux.HandleFunc("GET /case/{case}/dentist", s.page(s.showDentist))
	mux.HandleFunc("GET /case/{case}/clock", s.page(s.showClock))
	mux.HandleFunc("POST /case/{case}/clock", s.page(s.tick))
	mux.HandleFunc("POST /case/{case}/shim", s.page(s.shim))
	mux.HandleFunc("POST /case/{case}/stays", s.page(s.stays))
	mux.HandleFunc("GET /case/{case}/history", s.page(s.showHistory))
	mux.HandleFunc("GET /case/{case}/stream", s.stream)
	mux.HandleFunc("GET /case/{case}/check/{check}/figure/{slot}", s.page(s.figure))
	mux.HandleFunc("GET /case/{case}/check/{check}/report.json", s.page(s.reportJSON))
	mux.HandleFunc("GET /case/{case}/check/{check}/scene.json", s.page(s.scene))
	mux.HandleFunc("GET /case/{case}/check/{check}/model/{restoration}/{role}/{how}", s.page(s.model))
	mux.HandleFunc("GET /case/{case}/check/{check}/point", s.page(s.point))
	mux.HandleFunc("POST /case", s.page(s.newCase))
	mux.HandleFunc("POST /case/{case}/scans", s.page(s.addScans))
	mux.HandleFunc("POST /case/{case}/order", s.page(s.setOrder))
	mux.HandleFunc("POST /case/{case}/check", s.page(s.askCheck))
	mux.HandleFunc("POST /case/{case}/cancel", s.page(s.cancel))
	mux.HandleFunc("POST /case/{case}/scan/{scan}", s.page(s.editScan))
	mux.HandleFunc("POST /case/{case}/decide", s.page(s.decide))
	mux.HandleFunc("POST /case/{case}/alarm", s.page(s.alarm))
	mux.HandleFunc("POST /case/{case}/sign", s.page(s.sign))
	mux.HandleFunc("GET /case/{case}/sign", s.page(s.showSign))
	mux.HandleFunc("GET /case/{case}/correct", s.page(s.showCorrect))
	mux.HandleFunc("POST /case/{case}/correct", s.page(s.correct))
	mux.HandleFunc("POST /case/{case}/correct/back", s.page(s.uncorrect))
	mux.HandleFunc("GET /case/{case}/check/{check}/still", s.page(s.showStill))
	mux.HandleFunc("GET /case/{case}/scan/{scan}/look", s.page(s.firstLook))
	s.planRoutes(mux)
	s.handOffRoutes(mux)
	seat.Add(mux, s.site())
	drills := drill.Open(s.desk.Ledger())
	review.Add(mux, s.site(), drills)
	exercise.Add(mux, s.site(), drills)
	s.profileRoutes(mux)
	s.door(mux)
	s.programs(mux)
	return s.gate(mux)
}

// site is the server as its rooms see it.
func (s *Server) site() page.Site {
	return page.Site{
		Desk: s.desk, Book: s.book, Now: s.now, Page: s.page, Actor: actor, Names: s.names,
		Words:  func(r *http.Request) page.Words { return wordsFor(r) },
		Person: func(r *http.Request) people.Person { return visitorOf(r).person },
		Tooth:  func(w page.Words, c work.Case) string { return toothWords(w.(Words), c) }, // Words above gave it
		Show: func(w http.ResponseWriter, r *http.Request, p page.Shown) error {
			v := shown{frame: s.frame(r), Case: p.Case, Tooth: p.Tooth, View: p.View}
			v.Title = p.Title
			return s.render(w, http.StatusOK, p.Name, v)
		},
	}
}

// What the rooms share is called here by its plain names.
var (
	form       = page.Form
	back       = page.Back
	or         = page.Or
	number     = page.Number
	minuteText = page.Minute
)

// shown is a page of a room.
type shown struct {
	frame
	Case  *work.Case
	Tooth string
	View  any
}

// style serves the style of the report and of the pages around it.
func style(w http.ResponseWriter, r *http.Request) {
	files, err := fs.Glob(assetFiles, "assets/*.css")
	sheets := []byte(report.CSS())
	for _, f := range files { // in the order of their names; chair.css is the first
		var own []byte
		if own, err = assetFiles.ReadFile(f); err != nil {
			break
		}
		sheets = append(sheets, own...)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	_, _ = w.Write(sheets) // a reader that went away needs no answer
}

// viewWords serves the words of the browser's view.
func viewWords(w http.ResponseWriter, r *http.Request) error {
	table, ok := ui.Words(strings.TrimSuffix(r.PathValue("file"), ".json"))
	if !ok {
		return errNotThere
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(table) // a reader that went away needs no answer
	return nil
}

// page turns a handler that may fail into one that shows what went wrong.
func (s *Server) page(h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil {
			return
		}
		s.fail(w, r, err)
	}
}

// errNotThere says that an address names nothing.
var errNotThere = page.ErrNotThere

// policy lets a page load what this server serves, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"connect-src 'self'; worker-src 'self' blob:; font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// guard sets the headers that every answer carries, and refuses changes that a page of
// another site sent.
func guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(crossSite))
	return cross.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=()")
		h.Set("Cache-Control", "no-store") // patient data; what may be kept says so itself
		next.ServeHTTP(w, r)
	}))
}

// crossSite refuses a change that a page of another site sent.
func crossSite(w http.ResponseWriter, r *http.Request) {
	m := mishap{Status: http.StatusForbidden, Kind: "site", What: wordsFor(r).T("refused.site")}
	if forPrograms(r) {
		writeProblem(w, m)
		return
	}
	http.Error(w, m.What, m.Status)
}

// heartbeat is how often a quiet stream says that it is alive: proxies and sleeping
// tablets cut streams that say nothing for a minute.
const heartbeat = 20 * time.Second

// note is what the stream tells a page: look again, or which phase runs.
type note struct {
	N     int64  `json:"n,omitempty"`
	Phase string `json:"phase,omitempty"`
	Done  int    `json:"done"`
	Of    int    `json:"of,omitempty"`
}

// stream tells a page what is new about its case, as server-sent events. A page that
// connects late or again is told where things stand first.
func (s *Server) stream(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("case")
	notes, stop := s.desk.Listen(id)
	defer stop()
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	send := func(n note) bool {
		data, err := json.Marshal(n)
		if err != nil {
			return false
		}
		if _, err := fmt.Fprintf(w, "data: %s\n\n", data); err != nil {
			return false
		}
		return out.Flush() == nil
	}
	if !send(note{N: c.N}) {
		return
	}
	if p, ok := s.desk.Progress(id); ok && !send(note{Phase: p.Phase, Done: p.Done, Of: p.Of}) {
		return
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return
		case n := <-notes:
			if !s.still(r) || !send(note{N: n.N, Phase: n.Phase, Done: n.Done, Of: n.Of}) {
				return
			}
		case <-beat.C:
			if !s.still(r) {
				return
			}
			if _, err := fmt.Fprint(w, ": alive\n\n"); err != nil || out.Flush() != nil {
				return
			}
		}
	}
}

// streamAll tells the list of cases that something in it is new, or that a day began. Progress within a check
// is not: the list does not show it.
func (s *Server) streamAll(w http.ResponseWriter, r *http.Request) {
	notes, stop := s.desk.Listen("")
	defer stop()
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	day := way.Today(s.now().Local())
	for line := ": here\n\n"; ; {
		if _, err := fmt.Fprint(w, line); err != nil || out.Flush() != nil {
			return
		}
		for line = ""; line == ""; {
			select {
			case <-r.Context().Done():
				return
			case n := <-notes:
				if n.Phase == "" {
					line = "data: {}\n\n"
				}
			case <-beat.C:
				line = ": alive\n\n"
				if d := way.Today(s.now().Local()); d != day { // what was due yesterday is late
					day, line = d, "data: {}\n\n"
				}
			}
		}
		if !s.still(r) {
			return
		}
	}
}
