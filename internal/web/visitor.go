package web

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"

	"selvage/internal/people"
)

// visitor is who asks, and from where.
type visitor struct {
	person people.Person // without an id: nobody has shown who they are
	where  people.Where
	fresh  bool // nobody is known here yet
	renew  bool // what proves who they are was set by somebody else
	idle   int  // minutes without a touch after which the page locks itself

	program bool // the person is another program, which showed its token
	words   Words
	request *http.Request // without what the gate put into it
}

type visitorKey struct{}

func with(ctx context.Context, v visitor) context.Context {
	return context.WithValue(ctx, visitorKey{}, v)
}

func visitorOf(r *http.Request) visitor { return visitorIn(r.Context()) }

func visitorIn(ctx context.Context) visitor {
	v, _ := ctx.Value(visitorKey{}).(visitor)
	return v
}

// actor is who asks, as the ledger names them. Before anybody is known it is the place.
func actor(r *http.Request) string { return actorIn(r.Context()) }

func actorIn(ctx context.Context) string {
	if v := visitorIn(ctx); v.person.ID != "" {
		return v.person.ID
	}
	return "chair"
}

// What a session holds.
const (
	inPerson = "person"
	inPlace  = "place"
	inBorn   = "born"  // milliseconds since 1970
	inTouch  = "touch" // the last one, milliseconds since 1970
	inRenew  = "renew"
)

// sessionLife is how long a session lasts at most: a working day.
const sessionLife = 12 * time.Hour

// touchStep is how exactly the last touch is kept.
const touchStep = 10 * time.Second

// newSessions returns the sessions. The browser holds a random token, the database its
// hash.
func newSessions(b *people.Book, secure bool) *scs.SessionManager {
	m := scs.New()
	m.Store = b.Sessions()
	m.Lifetime = sessionLife
	m.HashTokenInStore = true
	m.Cookie.Name = "selvage"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteStrictMode
	m.Cookie.Persist = false
	if secure {
		m.Cookie.Name = "__Host-selvage"
		m.Cookie.Secure = true
	}
	return m
}

// visitor finds out who asks. A session counts while its person works here, at the place
// where it began, until what proves the person is changed or nothing was touched too long.
func (s *Server) visitor(r *http.Request) (visitor, error) {
	v, err := s.place(r)
	if err != nil {
		return v, err
	}
	all, err := s.book.All(r.Context())
	if err != nil {
		return v, err
	}
	settings, err := s.book.Settings(r.Context())
	if err != nil {
		return v, err
	}
	v.fresh, v.idle, v.words, v.request = len(all) == 0, settings.Idle, wordsFor(r), r
	if token, ok := bearer(r); ok {
		return v, s.program(r, &v, token)
	}
	id := s.sessions.GetString(r.Context(), inPerson)
	if id == "" {
		return v, nil
	}
	p, ok, err := s.book.Find(r.Context(), id)
	if err != nil {
		return v, err
	}
	now := s.now()
	born, touch := time.UnixMilli(s.sessions.GetInt64(r.Context(), inBorn)), time.UnixMilli(s.sessions.GetInt64(r.Context(), inTouch))
	late := now.Sub(touch) > time.Duration(v.idle)*time.Minute
	if !ok || p.Left || late || born.Before(p.Since) || s.sessions.GetString(r.Context(), inPlace) != string(v.where.Place) {
		if late {
			if err := s.book.Lock(r.Context(), id, true); err != nil {
				return v, err
			}
		}
		return v, s.sessions.Destroy(r.Context())
	}
	if touched(r) && now.Sub(touch) > touchStep {
		s.sessions.Put(r.Context(), inTouch, now.UnixMilli())
	}
	v.person, v.renew = p, s.sessions.GetBool(r.Context(), inRenew)
	return v, nil
}

// still reports whether who asked is still signed in, for what takes long.
func (s *Server) still(r *http.Request) bool { return s.stillIn(r.Context()) }

func (s *Server) stillIn(ctx context.Context) bool {
	was := visitorIn(ctx)
	if was.person.ID == "" { // nobody was known; is it still so?
		all, err := s.book.All(ctx)
		return err == nil && len(all) == 0
	}
	fresh, err := s.sessions.Load(context.Background(), s.sessions.Token(ctx))
	if err != nil {
		return false
	}
	quiet := was.request.Clone(fresh)
	quiet.Header.Set("Sec-Fetch-Mode", "cors")
	v, err := s.visitor(quiet)
	return err == nil && v.person.ID == was.person.ID
}

// touched reports whether a person made a request, and not a page by itself: what a
// script fetches to stay fresh keeps no lock open.
func touched(r *http.Request) bool {
	mode := r.Header.Get("Sec-Fetch-Mode")
	return r.Method != http.MethodGet || mode == "" || mode == "navigate"
}

// place tells from where somebody asks. What another program passes on is not from here,
// though it comes from this computer. A name that is not this computer's own is refused:
// another site may have pointed its name at this address to read the pages as its own.
func (s *Server) place(r *http.Request) (visitor, error) {
	v := visitor{where: people.Where{Place: people.Away}}
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return v, &refusal{status: http.StatusForbidden, key: "refused.plain"}
	}
	v.where.Address = from.Addr().Unmap().WithZone("").String()
	local := from.Addr().Unmap().IsLoopback()
	if local && !ownName(r.Host) {
		return v, &refusal{status: http.StatusMisdirectedRequest, key: "refused.host"}
	}
	if local && r.Header.Get("Forwarded") == "" && r.Header.Get("X-Forwarded-For") == "" {
		v.where.Place = people.Chair
		return v, nil
	}
	if r.TLS == nil {
		return v, &refusal{status: http.StatusForbidden, key: "refused.plain"}
	}
	return v, nil
}

// ownName reports whether a host is this computer by itself.
func ownName(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	ip, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return host == "localhost" || err == nil && ip.IsLoopback()
}

// open begins the session of a person who showed who they are. WHY a new token: one that
// somebody planted before must not become theirs.
func (s *Server) open(r *http.Request, p people.Person, renew bool) error {
	ctx := r.Context()
	if err := s.sessions.Clear(ctx); err != nil {
		return err
	}
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	now := s.now().UnixMilli()
	s.sessions.Put(ctx, inPerson, p.ID)
	s.sessions.Put(ctx, inPlace, string(visitorOf(r).where.Place))
	s.sessions.Put(ctx, inBorn, now)
	s.sessions.Put(ctx, inTouch, now)
	s.sessions.Put(ctx, inRenew, renew)
	return nil
}

// names returns how the ledger's actors are called, in the reader's words.
func (s *Server) names(r *http.Request) (func(actor string) string, error) {
	all, err := s.book.All(r.Context())
	if err != nil {
		return nil, err
	}
	w := wordsFor(r)
	of := map[string]string{"chair": w.T("actor.chair"), "selvage": w.T("actor.selvage")}
	for _, p := range all {
		of[p.ID] = p.Name
	}
	programs, err := s.book.Programs(r.Context())
	if err != nil {
		return nil, err
	}
	for _, p := range programs {
		of[p.ID] = p.Name
	}
	return func(actor string) string {
		if n, ok := of[actor]; ok {
			return n
		}
		return actor
	}, nil
}

// onward returns where a form says to go on, if that is a page of ours.
func onward(r *http.Request) string {
	to := r.FormValue("to")
	u, err := url.Parse(to)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") ||
		strings.HasPrefix(u.Path, "/who") || u.Path == "/lock" || u.Path == "/first" {
		return "/"
	}
	return to
}

// escaped makes a text fit for a query.
func escaped(s string) string { return url.QueryEscape(s) }
