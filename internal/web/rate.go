package web

import (
	"net/http"
	"strings"
	"sync"
	"time"

	"selvage/internal/people"
)

// pace is how often somebody may ask: so many at once, and so many a second on the long
// run.
type pace struct{ burst, perSecond float64 }

// How often another computer and another program may ask. WHY not this computer's page:
// who sits here can stop the program anyway, and a page that refuses at the chair helps
// nobody.
var (
	paceAway    = pace{burst: 300, perSecond: 50}
	paceProgram = pace{burst: 100, perSecond: 20}
)

// How many requests that take long one asker may have under way.
const (
	mostUploads = 4
	mostStreams = 24 // one for every open page
)

// remembered is how many askers are kept before those that have been quiet are forgotten.
const remembered = 4096

// rates counts what everybody asks for. The zero value is ready.
type rates struct {
	mu      sync.Mutex
	buckets map[string]bucket
	busy    map[string]int
}

// bucket holds what an asker may still ask at once.
type bucket struct {
	left float64
	at   time.Time
}

// take counts one request and returns how long the asker must wait instead, 0 if not.
func (r *rates) take(who string, p pace, now time.Time) time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.buckets == nil {
		r.buckets = map[string]bucket{}
	}
	if len(r.buckets) >= remembered {
		for k, b := range r.buckets {
			if now.Sub(b.at) > time.Minute {
				delete(r.buckets, k)
			}
		}
	}
	b, known := r.buckets[who]
	if !known {
		b = bucket{left: p.burst, at: now}
	}
	b.left = min(p.burst, b.left+p.perSecond*max(0, now.Sub(b.at).Seconds()))
	b.at = now
	if b.left < 1 {
		r.buckets[who] = b
		return time.Duration((1 - b.left) / p.perSecond * float64(time.Second))
	}
	b.left--
	r.buckets[who] = b
	return 0
}

// begin counts a request that takes long until end is called; it is refused where the
// asker has as many under way already.
func (r *rates) begin(what string, most int) (end func(), ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.busy == nil {
		r.busy = map[string]int{}
	}
	if r.busy[what] >= most {
		return nil, false
	}
	r.busy[what]++
	return func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		if r.busy[what]--; r.busy[what] == 0 {
			delete(r.busy, what)
		}
	}, true
}

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
		if wait := s.rates.take(who, p, time.Now()); wait > 0 {
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
	end, ok := s.rates.begin(what, most)
	if !ok {
		return nil, tooOften(time.Second)
	}
	return end, nil
}

func tooOften(wait time.Duration) *refusal {
	return &refusal{status: http.StatusTooManyRequests, key: "refused.often", wait: wait}
}
