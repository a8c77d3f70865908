package study

import (
	"context"
	"encoding/json"
	"errors"
	"testing"
)

// TestRunStops checks that a cancelled study ends with the context's error and no
// result.
func TestRunStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r, err := Run(ctx, Options{Cases: 1000})
	if !errors.Is(err, context.Canceled) || r.Cases != 0 {
		t.Errorf("Run = %d cases, %v, want none and the context's error", r.Cases, err)
	}
}

// TestStudyGoesOn stops a study of one worker in the middle of a line of its log, and
// goes on with three workers: every byte is as if it had never been stopped.
func TestStudyGoesOn(t *testing.T) {
	if testing.Short() {
		t.Skip("makes phantoms")
	}
	o := Options{Cases: 3, Seed: 5, Triangles: 30_000, Workers: 1}
	head := Head(o, "test")
	log, err := Line(head)
	if err != nil {
		t.Fatal(err)
	}
	var ends []int
	o.Keep = func(tr Trial) error {
		line, err := Line(tr)
		log = append(log, line...)
		ends = append(ends, len(log))
		return err
	}
	whole, err := Run(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	done, n, err := ReadLog(log[:ends[1]-9], head)
	if err != nil || len(done) != 1 || n != ends[0] {
		t.Fatalf("ReadLog = %d trials, %d bytes, %v, want 1 and %d", len(done), n, err, ends[0])
	}
	o.Done, o.Keep, o.Workers = done, nil, 3
	again, err := Run(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	a, errA := json.Marshal(whole)
	b, errB := json.Marshal(again)
	if errA != nil || errB != nil || string(a) != string(b) {
		t.Errorf("seed %d: the study that was stopped says\n%s\nthe other\n%s (%v, %v)", o.Seed, b, a, errA, errB)
	}
	head.Seed++
	var other *LogError
	if _, _, err := ReadLog(log, head); !errors.As(err, &other) {
		t.Errorf("the log of another seed is read: %v", err)
	}
}
