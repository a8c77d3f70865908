package drill

import (
	"context"
	"slices"
	"testing"
	"testing/synctest"
	"time"
)

// waiting are n drills that differ.
func waiting(n int) []Drill {
	var out []Drill
	for i := range n {
		out = append(out, Drill{Recipe: "margin", Number: uint64(i)})
	}
	return out
}

// workshop is a book whose cases take three seconds each and whose log tells what was made.
func workshop(log *[]uint64, fail uint64) *Book {
	at := 0
	b := Open(nil)
	b.maker.make = func(_ context.Context, _ string, n uint64) (*Made, error) {
		if at++; at > 1 {
			panic("two are made at a time")
		}
		time.Sleep(3 * time.Second)
		at--
		if *log = append(*log, n); n == fail {
			panic("it does not work")
		}
		return &Made{}, nil
	}
	return b
}

const nothing = 1 << 40 // no drill's number

// poll asks for drills every other second until each was ready once, and returns how many
// never were.
func poll(t *testing.T, b *Book, drills []Drill, within time.Duration) (left int) {
	t.Helper()
	drills = slices.Clone(drills)
	for end := time.Now().Add(within); len(drills) > 0 && time.Now().Before(end); time.Sleep(2 * time.Second) {
		drills = slices.DeleteFunc(drills, func(d Drill) bool {
			m, ready, err := b.Made(d)
			if err != nil || ready != (m != nil) {
				t.Errorf("drill %d: %v, ready %v", d.Number, err, ready)
			}
			return ready
		})
	}
	return len(drills)
}

// size is how many cases are held.
func size(b *Book) int {
	b.maker.mu.Lock()
	defer b.maker.mu.Unlock()
	return len(b.maker.last)
}

// TestEveryoneGetsACase: more who wait than cases are held get theirs, each made once, one
// at a time, in the order in which they came.
func TestEveryoneGetsACase(t *testing.T) {
	for _, n := range []int{6, held, held + 4} {
		synctest.Test(t, func(t *testing.T) {
			var log []uint64
			b := workshop(&log, nothing)
			if left := poll(t, b, waiting(n), 5*time.Minute); left > 0 {
				t.Errorf("%d of %d never got a case", left, n)
			}
			synctest.Wait()
			if len(log) != n || !slices.IsSorted(log[:min(n, held)]) {
				t.Errorf("%d drills were made as %v", n, log)
			}
			if got := size(b); got > held {
				t.Errorf("%d are held", got)
			}
		})
	}
}

// TestNobodyWaitsForIt: what nobody asks for any more is not made, and makes room; what was
// begun is made to its end.
func TestNobodyWaitsForIt(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var log []uint64
		b := workshop(&log, nothing)
		all := waiting(held + 1)
		for _, d := range all {
			_, _, _ = b.Made(d) // each is asked for once; the last finds no room
		}
		if got := size(b); got != held {
			t.Fatalf("%d are held", got)
		}
		time.Sleep(5 * time.Minute)
		synctest.Wait()
		if len(log) == 0 || len(log) > 11 { // those of the first thirty seconds
			t.Errorf("made for nobody: %v", log)
		}
		if left := poll(t, b, all[held:], time.Minute); left > 0 {
			t.Error("the last one never got a case")
		}
	})
}

// TestAFailureIsToldOnce: who waits is told, and the next look tries again.
func TestAFailureIsToldOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var log []uint64
		b := workshop(&log, 0)
		d := waiting(1)[0]
		_, _, _ = b.Made(d)
		time.Sleep(4 * time.Second)
		if _, ready, err := b.Made(d); err == nil || ready {
			t.Errorf("ready %v, %v", ready, err)
		}
		if _, ready, err := b.Made(d); ready || err != nil {
			t.Errorf("the next look: ready %v, %v", ready, err)
		}
		time.Sleep(4 * time.Second)
		synctest.Wait()
		if len(log) != 2 {
			t.Errorf("made %d times, want twice", len(log))
		}
	})
}
