package api

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/sse"

	"selvage/internal/store"
	"selvage/internal/work"
)

// How often a stream looks by itself (another server may have written) and how often it
// says that it is alive.
const (
	lookEvery = 2 * time.Second
	beatEvery = 20 * time.Second
	batch     = 200
)

// event is one thing that happened in a case: nothing that says whose it is.
type event struct {
	Case    string    `json:"case"`
	Kind    string    `json:"kind" example:"check-done"`
	At      time.Time `json:"at"`
	By      string    `json:"by" doc:"id of the person or program"`
	Version int64     `json:"version" doc:"place among the events of its case"`
	Check   string    `json:"check,omitempty"`
	Verdict string    `json:"verdict,omitempty"`
}

// progress tells which part of a check runs.
type progress struct {
	Case  string `json:"case"`
	Phase string `json:"phase"`
	Done  int    `json:"done"`
	Of    int    `json:"of"`
}

// alive says that a stream holds.
type alive struct {
	At time.Time `json:"at"`
}

type newsInput struct {
	After string `query:"after" pattern:"^[0-9]{1,18}$" patternDescription:"a whole number" doc:"id of the last event that was read; left out: from now on"`
	Last  string `header:"Last-Event-ID" doc:"the same, as a client of event streams sends it"`
}

// news adds the stream of events.
func (s *server) news() {
	sse.Register(s.api, huma.Operation{
		OperationID: "news", Method: http.MethodGet, Path: Root + "/events", Tags: []string{"news"},
		Summary:     "What happens in the cases, as it happens",
		Description: "Server-sent events. Each event has an id; a program that was cut off goes on with Last-Event-ID and misses none. Progress and signs of life have no id.",
		Errors:      []int{http.StatusUnauthorized, http.StatusForbidden, http.StatusTooManyRequests},
	}, map[string]any{"event": event{}, "progress": progress{}, "alive": alive{}}, s.stream)
}

func (s *server) stream(ctx context.Context, in *newsInput, send sse.Sender) {
	notes, stop := s.Desk.Listen("")
	defer stop()
	seq, err := s.from(ctx, in)
	if err != nil || send.Data(alive{At: time.Now().UTC()}) != nil {
		return
	}
	look, beat := time.NewTicker(lookEvery), time.NewTicker(beatEvery)
	defer look.Stop()
	defer beat.Stop()
	for {
		if seq, err = s.pass(ctx, seq, send); err != nil {
			return
		}
		select {
		case <-ctx.Done():
			return
		case n := <-notes:
			if n.Phase != "" && (!s.Still(ctx) || send.Data(progress{Case: n.Case, Phase: n.Phase, Done: n.Done, Of: n.Of}) != nil) {
				return
			}
		case <-look.C:
		case <-beat.C:
			if !s.Still(ctx) || send.Data(alive{At: time.Now().UTC()}) != nil {
				return
			}
		}
	}
}

// from returns the event after which a stream begins.
func (s *server) from(ctx context.Context, in *newsInput) (int64, error) {
	for _, v := range []string{in.Last, in.After} {
		if n, err := strconv.ParseInt(v, 10, 64); err == nil {
			return n, nil
		}
	}
	return s.Desk.Ledger().End(ctx)
}

// pass sends what happened in cases after an event and returns the last one.
func (s *server) pass(ctx context.Context, seq int64, send sse.Sender) (int64, error) {
	for {
		events, err := s.Desk.Ledger().Since(ctx, seq, batch)
		if err != nil || len(events) == 0 {
			return seq, err
		}
		if !s.Still(ctx) {
			return seq, context.Canceled
		}
		for _, e := range events {
			seq = e.Seq
			// WHY no views: a program that reads a case for every event would hear of itself.
			if e.Case == "" || work.IsView(e) {
				continue
			}
			if err := send(sse.Message{ID: int(e.Seq), Data: told(e)}); err != nil {
				return seq, err
			}
		}
	}
}

func told(e store.Event) event {
	out := event{Case: e.Case, Kind: e.Kind, At: e.At, By: e.Actor, Version: e.N}
	var about struct {
		Check   string `json:"check"`
		Verdict string `json:"verdict"`
	}
	if e.Decode(&about) == nil { // a body that says nothing of these is as good
		out.Check, out.Verdict = about.Check, about.Verdict
	}
	return out
}
