// Package news tells who listens what is new about a case, and how far a running check is.
// It keeps nothing: who listens late reads the case.
package news

import "sync"

// Note says that something about a case is new.
type Note struct {
	Case  string
	N     int64  // its last event; 0 for progress alone
	Phase string // of a running check; empty where none began
	Done  int    // phases done
	Of    int    // phases in all
	Parts []Part // of a running check, those known so far
}

// Hub tells listeners what is new. It is safe for concurrent use.
type Hub struct {
	mu    sync.Mutex
	next  int
	ears  map[int]ear
	phase map[string]Note // the last progress of each running check's case
}

type ear struct {
	caseID string
	c      chan Note
}

// New returns a hub to which nobody listens.
func New() *Hub { return &Hub{ears: map[int]ear{}, phase: map[string]Note{}} }

// Listen returns the notes of a case (of all, where it is empty) until stop is called.
func (h *Hub) Listen(caseID string) (<-chan Note, func()) {
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

// Tell passes a note on. A listener that does not keep up loses notes: the next one
// that it reads makes it look at the case, which holds everything.
func (h *Hub) Tell(n Note) {
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

// Progress returns the phase of a case's running check, if one is known.
func (h *Hub) Progress(caseID string) (Note, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	n, ok := h.phase[caseID]
	return n, ok
}
