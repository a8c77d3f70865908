package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

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

// streamAll tells the list of cases that something in it is new. Progress within a check
// is not: the list does not show it.
func (s *Server) streamAll(w http.ResponseWriter, r *http.Request) {
	notes, stop := s.desk.Listen("")
	defer stop()
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
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
			}
		}
		if !s.still(r) {
			return
		}
	}
}
