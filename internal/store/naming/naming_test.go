package naming_test

import (
	"context"
	"encoding/json"
	"io"
	"testing"

	"selvage/internal/store"
	"selvage/internal/store/naming"
)

// shelf is blobs by what they are called; one that is there and empty is damaged.
type shelf map[store.Hash][]byte

func (s shelf) Put(context.Context, io.Reader) (store.Hash, int64, error) { panic("nothing is put") }

func (s shelf) Get(_ context.Context, h store.Hash) ([]byte, error) {
	data, there := s[h]
	switch {
	case !there:
		return nil, store.ErrNoBlob
	case len(data) == 0:
		return nil, &store.CorruptError{Hash: h}
	}
	return data, nil
}

func (s shelf) Each(context.Context, func(store.Hash) error) error { panic("nothing is listed") }

func (s shelf) Has(_ context.Context, h store.Hash) (bool, error) {
	_, there := s[h]
	return there, nil
}

func (s shelf) Remove(context.Context, store.Hash) error { panic("nothing is removed") }

// names: the body of an event lists files, of which the first is read for one more; an event
// that ends a case names what it deletes, without words.
func names(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error) {
	out := map[store.Hash]string{}
	var all []store.Hash
	if err := e.Decode(&all); err != nil {
		return nil, err
	}
	for i, h := range all {
		out[h] = "a file"
		if e.Kind == "end" {
			out[h] = ""
		} else if i == 0 {
			data, err := get(h)
			if err != nil {
				return out, err
			}
			out[store.Hash(data)] = "named in turn"
		}
	}
	return out, nil
}

// ledger makes events of cases and what they name.
func ledger(all ...[3]string) naming.Since {
	var events []store.Event
	for i, v := range all {
		events = append(events, store.Event{Seq: int64(i + 1), Case: v[0], Kind: v[1], Body: json.RawMessage(v[2])})
	}
	return func(seq int64, limit int) ([]store.Event, error) {
		return events[seq:min(int(seq)+min(limit, 2), len(events))], nil // two at a time
	}
}

func TestBook(t *testing.T) {
	blobs := shelf{"list": []byte("picture"), "bad": nil, "one": []byte("list"), "picture": []byte("one")}
	b := naming.New(blobs, names, "end", []store.Hash{"list", "picture", "one"})
	kept := func(h store.Hash, id string, want bool) {
		t.Helper()
		if b.Kept(h, id) != want {
			t.Errorf("%s is kept from %s: want %v", h, id, want)
		}
	}
	all := [][3]string{{"a", "add", `["list"]`}, {"b", "add", `["bad","one"]`}, {"c", "add", `["gone","one"]`}}
	read := func() {
		t.Helper()
		if err := b.Read(context.Background(), ledger(all...)); err != nil {
			t.Fatal(err)
		}
	}
	read()
	kept("picture", "a", false)
	kept("picture", "b", true)
	kept("one", "a", false) // what cannot be read names nothing more
	all = append(all, [3]string{"b", "add", `["one"]`}, [3]string{"a", "end", `["list","picture"]`})
	read()
	kept("one", "c", true)
	kept("picture", "b", false) // its case is ended
	kept("other", "a", false)   // nobody asked about it
	all = append(all, [3]string{"c", "add", `["picture"]`})
	read()
	kept("picture", "a", true)

	for body, want := range map[string]bool{`["list"]`: true, `["bad"]`: true, `["gone"]`: false} {
		yes, err := naming.Stored(context.Background(), blobs, names, []store.Event{{Body: json.RawMessage(body)}})
		if err != nil || yes != want {
			t.Errorf("%s is stored: %v, %v", body, yes, err)
		}
	}
	delete(blobs, "picture")
	if yes, err := naming.Stored(context.Background(), blobs, names, []store.Event{{Body: json.RawMessage(`["list"]`)}}); err != nil || yes {
		t.Errorf("a list whose picture is gone is stored: %v, %v", yes, err)
	}
}
