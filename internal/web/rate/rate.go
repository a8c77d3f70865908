// Package rate counts what everybody asks for, and says who must wait.
package rate

import (
	"sync"
	"time"
)

// Pace is how often somebody may ask: so many at once, and so many a second on the long
// run.
type Pace struct{ Burst, PerSecond float64 }

// remembered is how many askers are kept before those that have been quiet are forgotten.
const remembered = 4096

// Rates counts what everybody asks for. The zero value is ready; it is safe for concurrent
// use.
type Rates struct {
	mu      sync.Mutex
	buckets map[string]bucket
	busy    map[string]int
}

// bucket holds what an asker may still ask at once.
type bucket struct {
	left float64
	at   time.Time
}

// Take counts one request and returns how long the asker must wait instead, 0 if not.
func (r *Rates) Take(who string, p Pace, now time.Time) time.Duration {
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
		b = bucket{left: p.Burst, at: now}
	}
	b.left = min(p.Burst, b.left+p.PerSecond*max(0, now.Sub(b.at).Seconds()))
	b.at = now
	if b.left < 1 {
		r.buckets[who] = b
		return time.Duration((1 - b.left) / p.PerSecond * float64(time.Second))
	}
	b.left--
	r.buckets[who] = b
	return 0
}

// Begin counts a request that takes long until end is called; it is refused where the
// asker has as many under way already.
func (r *Rates) Begin(what string, most int) (end func(), ok bool) {
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
