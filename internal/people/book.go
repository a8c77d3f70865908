package people

import (
	"context"
	"crypto/rand"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"selvage/internal/store"
)

// Book is who works here. It is safe for concurrent use.
type Book struct {
	ledger *store.Ledger
	secret []byte
	now    func() time.Time
	cost   *argon2id.Params
	turns  chan struct{} // a place for each guess that is being weighed

	mu   sync.Mutex
	seen *roster // as it was when it was last looked at
}

// Open returns the book of a ledger. secret is mixed into what is kept of every proof:
// without it, or with another one, nobody can show who they are.
func Open(l *store.Ledger, secret []byte, now func() time.Time) *Book {
	return &Book{
		ledger: l, secret: secret, now: now, cost: cost,
		turns: make(chan struct{}, hashers), seen: &roster{settings: defaultSettings},
	}
}

// Problem says why something is refused; package web has the words for its key.
type Problem struct{ Key string }

// Error returns the key.
func (p *Problem) Error() string { return "people: " + p.Key }

// current returns the roster as it is now, others' changes included.
func (b *Book) current(ctx context.Context) (*roster, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	events, err := b.ledger.After(ctx, practice, b.seen.n)
	if err != nil {
		return nil, err
	}
	if len(events) > 0 {
		next := b.seen.clone()
		if err := next.apply(events); err != nil {
			return nil, err
		}
		b.seen = next
	}
	return b.seen, nil
}

// All returns everybody, in the order in which they came; who left stays in it, since
// their names stand in what happened.
func (b *Book) All(ctx context.Context) ([]Person, error) {
	r, err := b.current(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(r.people), nil
}

// Find returns a person by id.
func (b *Book) Find(ctx context.Context, id string) (Person, bool, error) {
	r, err := b.current(ctx)
	if err != nil {
		return Person{}, false, err
	}
	p, ok := r.find(id)
	return p, ok, nil
}

// Named returns the id of who works here under a name, or nothing.
func (b *Book) Named(ctx context.Context, name string) (string, error) {
	r, err := b.current(ctx)
	if err != nil {
		return "", err
	}
	for _, p := range r.people {
		if !p.Left && sameName(p.Name, name) {
			return p.ID, nil
		}
	}
	return "", nil
}

// Settings returns how the page behaves.
func (b *Book) Settings(ctx context.Context) (Settings, error) {
	r, err := b.current(ctx)
	if err != nil {
		return defaultSettings, err
	}
	return r.settings, nil
}

// Happened returns the last events of the practice itself that keep keeps, at most so many,
// the last first. WHY it does not count first and choose then: a week of what is left out
// would hide all the rest. Cost: it reads as far back as it must, at most twice over.
func (b *Book) Happened(ctx context.Context, most int, keep func(store.Event) bool) ([]store.Event, error) {
	r, err := b.current(ctx)
	if err != nil {
		return nil, err
	}
	for far := int64(most); ; far *= 2 {
		events, err := b.ledger.After(ctx, practice, max(0, r.n-far))
		if err != nil {
			return nil, err
		}
		events = slices.DeleteFunc(events, func(e store.Event) bool { return !keep(e) })
		if len(events) >= most || far >= r.n {
			slices.Reverse(events)
			return events[:min(most, len(events))], nil
		}
	}
}

// First makes the first person, who may say who else works here, and returns them with
// the code that goes into a sealed envelope. Once somebody is known it is refused.
func (b *Book) First(ctx context.Context, name string, roles []Role, number string) (p Person, code string, err error) {
	if !slices.Contains(roles, Manager) {
		roles = append(slices.Clone(roles), Manager)
	}
	if p, err = newPerson(name, roles); err != nil {
		return p, "", err
	}
	if err := fit(Number, number); err != nil {
		return p, "", err
	}
	hash, err := b.hash(ctx, p.ID, Number, number)
	if err != nil {
		return p, "", err
	}
	code, codeHash, err := b.newCode(ctx)
	if err != nil {
		return p, "", err
	}
	err = b.change(ctx, func(tx *store.Tx, r *roster) error {
		if len(r.people) > 0 {
			return &Problem{Key: "first.late"}
		}
		if _, err := tx.Add(practice, p.ID, kindAdded, added{Person: p.ID, Name: p.Name, Roles: p.Roles}); err != nil {
			return err
		}
		if err := b.keep(tx, p.ID, p.ID, Number, hash); err != nil {
			return err
		}
		return b.keep(tx, p.ID, nobody, sealed, codeHash)
	})
	return p, code, err
}

// Add lets a manager add a person, with a number that the person must change before
// they do anything.
func (b *Book) Add(ctx context.Context, by, name string, roles []Role, number string) (Person, error) {
	p, err := newPerson(name, roles)
	if err != nil {
		return p, err
	}
	if err := fit(Number, number); err != nil {
		return p, err
	}
	hash, err := b.hash(ctx, p.ID, Number, number)
	if err != nil {
		return p, err
	}
	err = b.byManager(ctx, by, Staff, func(tx *store.Tx, r *roster) error {
		if r.taken(p.Name, "") {
			return &Problem{Key: "name.taken"}
		}
		if _, err := tx.Add(practice, by, kindAdded, added{Person: p.ID, Name: p.Name, Roles: p.Roles}); err != nil {
			return err
		}
		return b.keep(tx, by, p.ID, Number, hash)
	})
	return p, err
}

// Change lets a manager rename a person or change what they do. A manager stays.
func (b *Book) Change(ctx context.Context, by, id, name string, roles []Role) error {
	want, err := newPerson(name, roles)
	if err != nil {
		return err
	}
	return b.byManager(ctx, by, Staff, func(tx *store.Tx, r *roster) error {
		if _, ok := r.find(id); !ok {
			return &Problem{Key: "nobody"}
		}
		if r.taken(want.Name, id) {
			return &Problem{Key: "name.taken"}
		}
		return b.leavingManager(tx, r, by, kindChanged, added{Person: id, Name: want.Name, Roles: want.Roles})
	})
}

// Leave lets a manager note that a person left (or came back, where back is set). What
// they did stays under their name; what proved who they are is removed. A manager stays.
func (b *Book) Leave(ctx context.Context, by, id string, back bool) error {
	return b.byManager(ctx, by, Staff, func(tx *store.Tx, r *roster) error {
		p, ok := r.find(id)
		switch {
		case !ok:
			return &Problem{Key: "nobody"}
		case p.Left != back:
			return nil // it is so already
		case back && r.taken(p.Name, id):
			return &Problem{Key: "name.taken"}
		case back:
			_, err := tx.Add(practice, by, kindBack, ref{Person: id})
			return err
		}
		if _, err := tx.SQL().ExecContext(ctx, `DELETE FROM credential WHERE person = $1`, id); err != nil {
			return err
		}
		return b.leavingManager(tx, r, by, kindLeft, ref{Person: id})
	})
}

// leavingManager adds an event, and refuses it where nobody would be left who may say
// who works here.
func (b *Book) leavingManager(tx *store.Tx, r *roster, by, kind string, body any) error {
	e, err := tx.Add(practice, by, kind, body)
	if err != nil {
		return err
	}
	next := r.clone()
	if err := next.add(e); err != nil {
		return err
	}
	if next.managers() == 0 {
		return &Problem{Key: "manager.last"}
	}
	return nil
}

// SetProof sets what proves who a person is: their own, or, by a manager, one that the
// person must change before they do anything.
func (b *Book) SetProof(ctx context.Context, by, id string, kind Kind, proof string) error {
	if kind != Number && kind != Password {
		return &Problem{Key: "nobody"}
	}
	if err := fit(kind, proof); err != nil {
		return err
	}
	if old, _, err := b.kept(ctx, id, kind); err != nil {
		return err
	} else if old != "" {
		if same, err := b.right(ctx, id, kind, proof, old); err != nil {
			return err
		} else if same {
			return &Problem{Key: "same"}
		}
	}
	hash, err := b.hash(ctx, id, kind, proof)
	if err != nil {
		return err
	}
	return b.change(ctx, func(tx *store.Tx, r *roster) error {
		p, ok := r.find(id)
		if !ok || p.Left {
			return &Problem{Key: "nobody"}
		}
		if who, _ := r.find(by); by != id && !who.May(Staff) {
			return &Problem{Key: "right"}
		}
		return b.keep(tx, by, id, kind, hash)
	})
}

// SetSettings lets a manager change how the page behaves. What is left at zero stays as it
// is.
func (b *Book) SetSettings(ctx context.Context, by string, s Settings) error {
	if s.Idle != 0 && !slices.Contains(IdleChoices(), s.Idle) || s.Keep != 0 && !slices.Contains(KeepChoices(), s.Keep) {
		return &Problem{Key: "choice"}
	}
	return b.byManager(ctx, by, Limits, func(tx *store.Tx, r *roster) error {
		if s.Idle == 0 {
			s.Idle = r.settings.Idle
		}
		if s.Keep == 0 {
			s.Keep = r.settings.Keep
		}
		_, err := tx.Add(practice, by, kindSetting, s)
		return err
	})
}

// Lock notes that a person's session ended, by a tap or since nothing was touched.
func (b *Book) Lock(ctx context.Context, id string, idle bool) error {
	return b.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(practice, id, kindLocked, locked{Idle: idle})
		return err
	})
}

// change lets f act on the roster as it is in the ledger.
func (b *Book) change(ctx context.Context, f func(*store.Tx, *roster) error) error {
	return b.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(practice)
		if err != nil {
			return err
		}
		r := &roster{settings: defaultSettings}
		if err := r.apply(events); err != nil {
			return err
		}
		return f(tx, r)
	})
}

// byManager is change for who has a right.
func (b *Book) byManager(ctx context.Context, by string, a Action, f func(*store.Tx, *roster) error) error {
	return b.change(ctx, func(tx *store.Tx, r *roster) error {
		if p, _ := r.find(by); !p.May(a) {
			return &Problem{Key: "right"}
		}
		return f(tx, r)
	})
}

// taken reports whether somebody else who works here has a name.
func (r *roster) taken(name, but string) bool {
	return slices.ContainsFunc(r.people, func(p Person) bool { return p.ID != but && !p.Left && sameName(p.Name, name) })
}

func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// maxName bounds a name, in characters.
const maxName = 40

func newPerson(name string, roles []Role) (Person, error) {
	name, err := fitName(name)
	if err != nil {
		return Person{}, err
	}
	var want []Role
	for _, r := range Roles() {
		if slices.Contains(roles, r) {
			want = append(want, r)
		}
	}
	if len(want) == 0 || slices.ContainsFunc(roles, func(r Role) bool { return !slices.Contains(want, r) }) {
		return Person{}, &Problem{Key: "role"}
	}
	return Person{ID: "p-" + strings.ToLower(rand.Text()[:16]), Name: name, Roles: want}, nil
}

// fitName makes a name fit to be shown, or refuses it.
func fitName(name string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	if n := utf8.RuneCountInString(name); n == 0 || n > maxName || !utf8.ValidString(name) ||
		strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return "", &Problem{Key: "name"}
	}
	return name, nil
}
