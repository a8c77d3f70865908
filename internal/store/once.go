package store

import (
	"context"
	"errors"
	"strings"
)

// Key makes a change happen once, however often it is asked for.
type Key struct {
	Name string // no two askers share one
	Of   string // what is asked for, without a line break
}

// ErrKeyUsed says that a key was used before, for something else.
var ErrKeyUsed = errors.New("this key was used for something else")

type keyOfChange struct{}

// Once returns a context in which one change is made once under a key: a change that is
// asked for again with the key answers as it did, and alters nothing.
func Once(ctx context.Context, k Key) context.Context {
	if k.Name == "" {
		return ctx
	}
	return context.WithValue(ctx, keyOfChange{}, k)
}

// OnceUnder runs f, or returns what it answered when it ran under the key of the change.
func (t *Tx) OnceUnder(f func() (answer string, err error)) (answer string, again bool, err error) {
	k, ok := t.Context().Value(keyOfChange{}).(Key)
	if !ok {
		answer, err = f()
		return answer, false, err
	}
	was, found, err := t.Once("once " + k.Name)
	if err != nil {
		return "", false, err
	}
	if found {
		of, answer, _ := strings.Cut(was, "\n")
		if of != k.Of {
			return "", true, ErrKeyUsed
		}
		return answer, true, nil
	}
	if answer, err = f(); err != nil {
		return "", false, err
	}
	return answer, false, t.KeepOnce("once "+k.Name, k.Of+"\n"+answer)
}
