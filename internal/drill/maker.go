package drill

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"
)

// held is how many made cases are kept in memory: those that are being looked at.
const held = 4

// patience is how long a case may take to be made and checked.
const patience = 5 * time.Minute

// maker makes cases in the background, one at a time, and keeps the last ones.
type maker struct {
	turn chan struct{}

	mu   sync.Mutex
	last []*making // the one that was asked for last at the end
}

// making is a case that is being made, or is made.
type making struct {
	recipe string
	number uint64
	done   chan struct{}
	made   *Made
	err    error
}

// Made returns the case of a drill. Where it is not made yet, making begins, and ready is
// false.
func (b *Book) Made(d Drill) (m *Made, ready bool, err error) {
	k := &b.maker
	k.mu.Lock()
	defer k.mu.Unlock()
	i := slices.IndexFunc(k.last, func(x *making) bool { return x.recipe == d.Recipe && x.number == d.Number })
	if i < 0 {
		x := &making{recipe: d.Recipe, number: d.Number, done: make(chan struct{})}
		if k.last = append(k.last, x); len(k.last) > held {
			k.last = k.last[1:]
		}
		go k.make(x)
		return nil, false, nil
	}
	x := k.last[i]
	select {
	case <-x.done:
	default:
		return nil, false, nil
	}
	k.last = append(slices.Delete(k.last, i, i+1), x)
	if x.err != nil {
		k.last = slices.DeleteFunc(k.last, func(o *making) bool { return o == x }) // the next look tries again
	}
	return x.made, x.err == nil, x.err
}

func (k *maker) make(x *making) {
	k.turn <- struct{}{}
	defer func() {
		if p := recover(); p != nil { // practice never stops the program
			x.err = fmt.Errorf("drill: %v", p)
		}
		<-k.turn
		close(x.done)
	}()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	x.made, x.err = Make(ctx, x.recipe, x.number)
}
