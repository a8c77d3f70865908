package study

import (
	"context"
	"encoding/json"
	"errors"
	"testing"
)

// TestResultDoesNotDependOnWorkers makes a small study with one worker and with
// three and compares every byte.
func TestResultDoesNotDependOnWorkers(t *testing.T) {
	if testing.Short() {
		t.Skip("makes phantoms")
	}
	o := Options{Cases: 3, Seed: 5, Triangles: 30_000}
	var texts [2]string
	for i, workers := range []int{1, 3} {
		o.Workers = workers
		r, err := Run(t.Context(), o)
		if err != nil {
			t.Fatal(err)
		}
		data, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		texts[i] = string(data)
	}
	if texts[0] != texts[1] {
		t.Errorf("seed %d: one worker says\n%s\nthree say\n%s", o.Seed, texts[0], texts[1])
	}
}

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
