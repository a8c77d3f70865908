package work

import (
	"context"
	"sync"
	"time"
)

// Note says that something about a case is new.
type Note struct {
	Case  string
	N     int64  // its last event; 0 for progress alone
	Phase string // of a running check; empty where none began
	Done  int    // phases done
	Of    int    // phases in all
	Parts []Part // of a running check, those known so far
}

// hub tells listeners what is new. It holds nothing: who listens late reads the case.
type hub struct {
	mu    sync.Mutex
	next  int
	ears  map[int]ear
	phase map[string]Note // the last progress of each running check's case
}

type ear struct {
	caseID string
	c      chan Note
}

func newHub() *hub { return &hub{ears: map[int]ear{}, phase: map[string]Note{}} }

// listen returns the notes of a case (of all, where it is empty) until stop is called.
func (h *hub) listen(caseID string) (<-chan Note, func()) {
	h.mu.Lock()
	defer h.mu.Unlock()
	id := h.next
	h.next++
	c := make(chan Note, 16)
	h.ears[id] = ear{caseID, c}
	return c, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		delete(h.ears, id)
	}
}

// tell passes a note on. A listener that does not keep up loses notes: the next one
// that it reads makes it look at the case, which holds everything.
func (h *hub) tell(n Note) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if n.Phase != "" {
		h.phase[n.Case] = n
	} else {
		delete(h.phase, n.Case)
	}
	for _, e := range h.ears {
		if e.caseID != "" && e.caseID != n.Case {
			continue
		}
		select {
		case e.c <- n:
		default:
		}
	}
}

// progress returns the phase of a case's running check, if one is known.
func (h *hub) progress(caseID string) (Note, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	n, ok := h.phase[caseID]
	return n, ok
}

// followEvery is how often a desk looks for what other servers wrote.
const followEvery = 500 * time.Millisecond

// follow tells listeners what other servers write into the same ledger, until ctx ends.
// What this server writes is told twice, which does no harm: a note only says look.
func (d *Desk) follow(ctx context.Context, seq int64) {
	tick := time.NewTicker(followEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		events, err := d.ledger.Since(ctx, seq, 1000)
		if err != nil {
			continue // the database may come back
		}
		told := map[string]bool{}
		for _, e := range events {
			seq = e.Seq
			if e.Case == "" && d.refresh(ctx) != nil {
				break // the next look does it
			}
			if e.Case != "" && !IsView(e) && !told[e.Case] {
				told[e.Case] = true
				d.hub.tell(Note{Case: e.Case, N: e.N})
			}
		}
	}
}
