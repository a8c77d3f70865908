package rate_test

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"selvage/internal/web/rate"
)

func TestTake(t *testing.T) {
	var r rate.Rates
	p := rate.Pace{Burst: 3, PerSecond: 2}
	now := time.Unix(0, 0)
	for i := range 3 {
		if w := r.Take("a", p, now); w != 0 {
			t.Errorf("request %d waits %v", i, w)
		}
	}
	if w := r.Take("a", p, now); w != 500*time.Millisecond {
		t.Errorf("the fourth waits %v, want half a second", w)
	}
	if w := r.Take("b", p, now); w != 0 {
		t.Errorf("another waits %v", w)
	}
	now = now.Add(time.Second)
	for i, want := range []time.Duration{0, 0, 500 * time.Millisecond} {
		if w := r.Take("a", p, now); w != want {
			t.Errorf("a second later, request %d waits %v, want %v", i, w, want)
		}
	}
	if w := r.Take("a", p, now.Add(-time.Hour)); w == 0 {
		t.Error("a clock that was set back gives more")
	}
	for i := range 10000 { // who came once long ago is forgotten
		r.Take(fmt.Sprint(i), p, now.Add(time.Duration(i)*time.Second))
	}
}

func TestBegin(t *testing.T) {
	var r rate.Rates
	var wg sync.WaitGroup
	for range 100 {
		wg.Go(func() {
			if end, ok := r.Begin("x", 4); ok {
				end()
			}
		})
	}
	wg.Wait()
	var ends []func()
	for i := range 5 {
		end, ok := r.Begin("x", 4)
		if ok != (i < 4) {
			t.Errorf("request %d: %v", i, ok)
		}
		if ok {
			ends = append(ends, end)
		}
	}
	ends[0]()
	if _, ok := r.Begin("x", 4); !ok {
		t.Error("one that ended makes no room")
	}
}
