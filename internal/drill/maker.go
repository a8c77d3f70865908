package drill

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"
)

const (
	held      = 16               // made cases that are kept in memory, or are to be made
	patience  = 5 * time.Minute  // how long a case may take to be made and checked
	forgotten = 30 * time.Second // after which nobody waits for a case any more: a page asks every other second
)

// maker makes cases in the background, one at a time in the order in which they were asked
// for, and keeps the last ones.
type maker struct {
	make func(ctx context.Context, recipe string, number uint64) (*Made, error)

	mu   sync.Mutex
	busy bool      // something is being made
	last []*making // the one that was looked at last at the end
}

// making is a case that waits to be made, is being made, or is made.
type making struct {
	recipe string
	number uint64
	asked  time.Time // when somebody last asked for it

	begun, done bool
	made        *Made
	err         error
}

// Made returns the case of a drill. Where it is not made yet, making begins, and ready is
// false; so it is where more are asked for than are held: the next look asks again. WHY
// nothing gives way that is not made: two who wait would push each other out for ever.
func (b *Book) Made(d Drill) (m *Made, ready bool, err error) {
	k := &b.maker
	k.mu.Lock()
	defer k.mu.Unlock()
	i := slices.IndexFunc(k.last, func(x *making) bool { return x.recipe == d.Recipe && x.number == d.Number })
	if i < 0 {
		k.queue(d)
		return nil, false, nil
	}
	x := k.last[i]
	x.asked = time.Now()
	if !x.done {
		return nil, false, nil
	}
	k.last = slices.Delete(k.last, i, i+1)
	if x.err != nil {
		return nil, false, x.err // the next look tries again
	}
	k.last = append(k.last, x)
	return x.made, true, nil
}

// queue lets a case be made where there is room for it, or one that is made can go.
func (k *maker) queue(d Drill) {
	k.forget()
	if len(k.last) >= held {
		i := slices.IndexFunc(k.last, func(x *making) bool { return x.done })
		if i < 0 {
			return
		}
		k.last = slices.Delete(k.last, i, i+1)
	}
	k.last = append(k.last, &making{recipe: d.Recipe, number: d.Number, asked: time.Now()})
	if !k.busy {
		k.busy = true
		go k.work()
	}
}

// forget drops what nobody waits for any more and was not begun.
func (k *maker) forget() {
	k.last = slices.DeleteFunc(k.last, func(x *making) bool { return !x.begun && time.Since(x.asked) > forgotten })
}

// work makes one case after the other until none waits.
func (k *maker) work() {
	for {
		x := k.next()
		if x == nil {
			return
		}
		made, err := k.one(x.recipe, x.number)
		k.mu.Lock()
		x.made, x.err, x.done = made, err, true
		k.mu.Unlock()
	}
}

// next takes the case that waits longest; nil ends the work.
func (k *maker) next() *making {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.forget()
	i := slices.IndexFunc(k.last, func(x *making) bool { return !x.begun })
	if k.busy = i >= 0; !k.busy {
		return nil
	}
	k.last[i].begun = true
	return k.last[i]
}

// one makes one case.
func (k *maker) one(recipe string, number uint64) (m *Made, err error) {
	defer func() {
		if p := recover(); p != nil { // training never stops the program
			m, err = nil, fmt.Errorf("drill: %v", p)
		}
	}()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return k.make(ctx, recipe, number)
}
