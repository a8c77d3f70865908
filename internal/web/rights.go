package web

import (
	"net/http"
	"strings"
	"time"

	"selvage/internal/people"
	"selvage/internal/web/rate"
)

// need is what an address asks of who uses it.
type need struct {
	open   bool          // nothing
	here   bool          // nothing, at this computer
	signed bool          // to be signed in, no more
	may    people.Action // this right
}

var (
	anybody = need{open: true}
	oneself = need{signed: true}
)

func right(a people.Action) need { return need{may: a} }

// needs says what each address asks. What is only read asks for the right to see where it
// is not named here; a change that is not named is refused.
var needs = map[string]need{
	"GET /style.css":         anybody,
	"GET /assets/":           anybody,
	"GET /ui/":               anybody,
	"GET /words/view/{file}": anybody,
	"GET /who":               anybody,
	"GET /who/{person}":      anybody,
	"POST /who/{person}":     anybody,
	"POST /who":              anybody,
	"GET /first":             anybody,
	"POST /first":            anybody,
	"GET /envelope":          anybody,
	"POST /envelope":         anybody,
	"POST /lock":             anybody, // a lock that is already shut stays shut
	"POST /awake":            oneself,
	"GET /me":                oneself,
	"POST /me/keys":          oneself,
	"POST /me":               oneself,

	"POST /case":                     right(people.Check),
	"POST /case/{case}/scans":        right(people.Check),
	"POST /case/{case}/order":        right(people.Check),
	"POST /case/{case}/check":        right(people.Check),
	"POST /case/{case}/cancel":       right(people.Check),
	"POST /case/{case}/scan/{scan}":  right(people.Check),
	"POST /case/{case}/clock":        right(people.Check),
	"POST /case/{case}/correct":      right(people.Check),
	"POST /case/{case}/correct/back": right(people.Check),
	"POST /case/{case}/shim":         right(people.Check),
	"POST /case/{case}/stays":        right(people.Decide),
	"POST /case/{case}/decide":       right(people.Decide),
	"POST /case/{case}/alarm":        right(people.Judge),
	"GET /case/{case}/sign":          right(people.Sign),
	"POST /case/{case}/sign":         right(people.Sign),

	"POST /case/{case}/plan":          right(people.Plan),
	"POST /case/{case}/photos":        right(people.Plan),
	"POST /case/{case}/photo/{photo}": right(people.Plan),
	"POST /case/{case}/plan/mark":     right(people.Send),
	"POST /case/{case}/plan/keep":     right(people.Send),
	"GET /case/{case}/plan/sign":      right(people.Sign),
	"POST /case/{case}/plan/sign":     right(people.Sign),

	"POST /case/{case}/hand-off":  right(people.Send),
	"POST /case/{case}/receipt":   right(people.Send),
	"POST /case/{case}/answer":    right(people.Send),
	"POST /case/{case}/take":      right(people.Send),
	"POST /case/{case}/mill":      right(people.Send),
	"POST /case/{case}/temporary": right(people.Send),
	"POST /case/{case}/returned":  right(people.Send),
	"POST /case/{case}/seated":    right(people.Send),

	"POST /case/{case}/seat/step":    right(people.Send),
	"POST /case/{case}/seat/minutes": right(people.Send),
	"POST /case/{case}/remake":       right(people.Send),
	"POST /case/{case}/remake/pays":  right(people.Send),

	"POST /drill":             right(people.See),
	"POST /drill/{drill}":     right(people.See),
	"POST /drill/{drill}/end": right(people.See),

	"GET /quality":      right(people.Quality),
	"GET /quality.csv":  right(people.Quality),
	"GET /quality/mine": oneself,

	"GET /practice":          right(people.Limits),
	"POST /practice":         right(people.Limits),
	"GET /laboratory/{key}":  right(people.Limits),
	"POST /laboratory/{key}": right(people.Limits),

	"GET /people":                           right(people.Staff),
	"POST /people":                          right(people.Staff),
	"GET /people/{person}":                  right(people.Staff),
	"POST /people/{person}":                 right(people.Staff),
	"POST /people/{person}/number":          right(people.Staff),
	"POST /people/{person}/leave":           right(people.Staff),
	"POST /settings":                        right(people.Limits),
	"GET /settings":                         right(people.Limits),
	"GET /settings/limits":                  right(people.Limits),
	"GET /settings/limits/{limit}":          right(people.Limits),
	"POST /settings/limits/{limit}":         right(people.Limits),
	"GET /settings/old":                     right(people.Delete),
	"POST /settings/old/{case}":             right(people.Delete),
	"POST /settings/watch":                  right(people.Limits),
	"POST /settings/times/{method}":         right(people.Limits),
	"POST /settings/programs":               right(people.Staff),
	"POST /settings/programs/{program}/end": right(people.Staff),

	"GET /metrics": {here: true, may: people.Gauges},

	"GET /api/openapi.json":                                      anybody, // it tells of no case
	"GET /api/report.schema.json":                                anybody,
	"/api/":                                                      anybody, // there is nothing
	"GET /api/v1/me":                                             oneself,
	"GET /api/v1/cases":                                          right(people.See),
	"POST /api/v1/cases":                                         right(people.Check),
	"GET /api/v1/cases/{case}":                                   right(people.See),
	"PUT /api/v1/cases/{case}/order":                             right(people.Check),
	"POST /api/v1/cases/{case}/scans":                            right(people.Check),
	"POST /api/v1/cases/{case}/checks":                           right(people.Check),
	"GET /api/v1/cases/{case}/checks/{check}":                    right(people.See),
	"POST /api/v1/cases/{case}/checks/{check}/cancel":            right(people.Check),
	"GET /api/v1/cases/{case}/checks/{check}/report":             right(people.See),
	"GET /api/v1/cases/{case}/checks/{check}/pictures":           right(people.See),
	"GET /api/v1/cases/{case}/checks/{check}/pictures/{picture}": right(people.See),
	"GET /api/v1/events":                                         right(people.See),
}

// needOf returns what a pattern of the routes asks, and whether it is known.
func needOf(pattern string) (need, bool) {
	if n, ok := needs[pattern]; ok {
		return n, true
	}
	return right(people.See), strings.HasPrefix(pattern, "GET ")
}

// gate finds out who asks and lets through what they may do.
func (s *Server) gate(mux *http.ServeMux) http.Handler {
	return s.sessions.LoadAndSave(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v, err := s.visitor(r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		r = r.WithContext(with(r.Context(), v))
		_, pattern := mux.Handler(r)
		end, often := s.often(r, v, pattern)
		if often != nil {
			s.fail(w, r, often)
			return
		}
		defer end()
		if pattern != "" { // else there is nothing at the address, which the mux says
			n, ok := needOf(pattern)
			if !ok {
				s.fail(w, r, &refusal{status: http.StatusForbidden, key: "refused.right"})
				return
			}
			if err := v.allow(n); err != nil {
				s.refuse(w, r, err)
				return
			}
		}
		s.gauges.Serve(pattern, w, r, mux)
	}))
}

// allow returns why a visitor may not use an address that asks for n, or nil.
func (v visitor) allow(n need) *refusal {
	signedIn := v.person.ID != ""
	switch {
	case n.open, n.here && v.where.Place == people.Chair:
		return nil
	case v.fresh && v.where.Place == people.Chair && n.may != "" && people.MayAnyone(n.may):
		return nil
	case v.fresh && v.where.Place == people.Chair:
		return &refusal{status: http.StatusForbidden, key: "refused.fresh", try: "refused.fresh.try", link: "/first", say: "first.make"}
	case v.fresh:
		return &refusal{status: http.StatusForbidden, key: "refused.away", try: "refused.away.try"}
	case !signedIn:
		return &refusal{status: http.StatusUnauthorized, key: "refused.who", link: "/who", say: "who.in"}
	case n.signed:
		return nil
	case v.renew:
		return &refusal{status: http.StatusForbidden, key: "refused.renew", link: "/me", say: "me.change"}
	case !v.person.May(n.may):
		return &refusal{status: http.StatusForbidden, key: "refused." + string(n.may), link: "/who", say: "who.other"}
	}
	return nil
}

// refusal says why somebody may not do what they asked for, and where to go.
type refusal struct {
	status    int
	key, try  string // of the words
	link, say string // where to go; the key of its words
	wait      time.Duration
}

// Error returns the key of the words.
func (e *refusal) Error() string { return "web: " + e.key }

// refuse leads a person who reads to where they show who they are, and says no to the
// rest.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, e *refusal) {
	if r.Method == http.MethodGet && !forPrograms(r) && e.link != "/first" && (e.status == http.StatusUnauthorized || e.link == "/me") &&
		strings.Contains(r.Header.Get("Accept"), "text/html") {
		http.Redirect(w, r, e.link+"?to="+escaped(r.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	s.fail(w, r, e)
}

// How often another computer and another program may ask. WHY not this computer's page:
// who sits here can stop the program anyway, and a page that refuses at the chair helps
// nobody.
var (
	paceAway    = rate.Pace{Burst: 300, PerSecond: 50}
	paceProgram = rate.Pace{Burst: 100, PerSecond: 20}
)

// How many requests that take long one asker may have under way.
const (
	mostUploads = 4
	mostStreams = 24 // one for every open page
)

// often refuses who asks too often. What it returns is called when the request is done.
func (s *Server) often(r *http.Request, v visitor, pattern string) (end func(), refused *refusal) {
	who := v.where.Address
	if v.person.ID != "" {
		who = v.person.ID
	}
	p := paceAway
	if v.program {
		p = paceProgram
	}
	if v.program || v.where.Place == people.Away {
		if wait := s.rates.Take(who, p, s.now()); wait > 0 {
			return nil, tooOften(wait)
		}
	}
	what, most := "", 0
	switch {
	case strings.HasSuffix(pattern, "/stream") || strings.HasSuffix(pattern, "/events"):
		what, most = "streams of "+who, mostStreams
	case strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/"):
		what, most = "uploads of "+who, mostUploads
	default:
		return func() {}, nil
	}
	end, ok := s.rates.Begin(what, most)
	if !ok {
		return nil, tooOften(time.Second)
	}
	return end, nil
}

func tooOften(wait time.Duration) *refusal {
	return &refusal{status: http.StatusTooManyRequests, key: "refused.often", wait: wait}
}
