package drill

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"hash/fnv"
	mrand "math/rand/v2"
	"slices"
	"strings"
	"sync"
	"time"

	"selvage/finding"
	"selvage/internal/store"
)

// practice is the case id of events that belong to no case.
const practice = ""

// The kinds of events, with their bodies.
const (
	kindBegun    = "drill-begun"    // begun
	kindAnswered = "drill-answered" // answered
	kindEnded    = "drill-ended"    // ended
)

// EventKinds lists the kinds of events of training cases.
func EventKinds() []string { return []string{kindBegun, kindAnswered, kindEnded} }

// Private reports whether an event is of a training case: it is shown to nobody but who
// practised.
func Private(e store.Event) bool { return slices.Contains(EventKinds(), e.Kind) }

type begun struct {
	Drill  string `json:"drill"`
	Recipe string `json:"recipe"`
	Number uint64 `json:"number"`
}

type answered struct {
	Drill  string `json:"drill"`
	Place  Place  `json:"place"`
	Answer Answer `json:"answer"`
}

type ended struct {
	Drill   string `json:"drill"`
	Version string `json:"version"` // of the program that said
	Told    []Told `json:"told"`
}

// Told is what is told of a place when a drill ends.
type Told struct {
	Place   Place          `json:"place"`
	There   Answer         `json:"there"`
	Codes   []finding.Code `json:"codes,omitempty"`
	Program Answer         `json:"program"`
	Said    []finding.Code `json:"said,omitempty"` // by the program
	Person  Answer         `json:"person"`
}

// Right reports whether the person said what was to be done.
func (t Told) Right() bool { return t.Person == t.There }

// Drill is one training case of one person.
type Drill struct {
	ID, Person string
	Recipe     string
	Number     uint64
	At         time.Time
	Said       map[Place]Answer
	Told       []Told // once it ended
	Version    string
}

// Done reports whether the drill ended.
func (d Drill) Done() bool { return len(d.Told) > 0 }

// Right is how many places the person judged right, once it ended.
func (d Drill) Right() int {
	n := 0
	for _, t := range d.Told {
		if t.Right() {
			n++
		}
	}
	return n
}

// Next is the first place of which nothing was said; ok is false where all have a word.
func (d Drill) Next() (p Place, ok bool) {
	for _, p := range Places() {
		if d.Said[p] == "" {
			return p, true
		}
	}
	return "", false
}

// The reasons why something cannot be done.
var (
	ErrNone    = errors.New("drill: there is no such training case")
	ErrOver    = errors.New("drill: it is told already")
	ErrNotYet  = errors.New("drill: not every place has a word yet")
	ErrChoices = errors.New("drill: this is not one of the choices")
)

// Book keeps who practised and how it went. It is safe for concurrent use.
type Book struct {
	ledger *store.Ledger

	mu     sync.Mutex
	n      int64 // the last event that was applied
	drills []Drill

	maker maker
}

// Open returns the book of a ledger.
func Open(l *store.Ledger) *Book { return &Book{ledger: l, maker: maker{make: Make}} }

// Of returns a person's drills in their order, and nobody else's.
func (b *Book) Of(ctx context.Context, person string) ([]Drill, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	events, err := b.ledger.After(ctx, practice, b.n)
	if err != nil {
		return nil, err
	}
	for _, e := range events {
		if err := b.apply(e); err != nil {
			return nil, err
		}
		b.n = e.N
	}
	var out []Drill
	for _, d := range b.drills {
		if d.Person == person {
			said := map[Place]Answer{}
			for p, a := range d.Said {
				said[p] = a
			}
			d.Said = said
			out = append(out, d)
		}
	}
	return out, nil
}

func (b *Book) apply(e store.Event) error {
	of := func(id string, f func(*Drill)) {
		if i := slices.IndexFunc(b.drills, func(d Drill) bool { return d.ID == id && d.Person == e.Actor }); i >= 0 {
			f(&b.drills[i])
		}
	}
	switch e.Kind {
	case kindBegun:
		var v begun
		if err := e.Decode(&v); err != nil {
			return err
		}
		b.drills = append(b.drills, Drill{ID: v.Drill, Person: e.Actor, Recipe: v.Recipe, Number: v.Number, At: e.At, Said: map[Place]Answer{}})
	case kindAnswered:
		var v answered
		if err := e.Decode(&v); err != nil {
			return err
		}
		of(v.Drill, func(d *Drill) { d.Said[v.Place] = v.Answer })
	case kindEnded:
		var v ended
		if err := e.Decode(&v); err != nil {
			return err
		}
		of(v.Drill, func(d *Drill) { d.Told, d.Version = v.Told, v.Version })
	}
	return nil
}

// Find returns one of a person's drills.
func (b *Book) Find(ctx context.Context, person, id string) (Drill, error) {
	all, err := b.Of(ctx, person)
	if err != nil {
		return Drill{}, err
	}
	i := slices.IndexFunc(all, func(d Drill) bool { return d.ID == id })
	if i < 0 {
		return Drill{}, ErrNone
	}
	return all[i], nil
}

// Begin begins a drill for a person and returns its id. Each person goes through all
// recipes in an order of their own before one comes again, in another mouth.
func (b *Book) Begin(ctx context.Context, person string) (id string, err error) {
	before, err := b.Of(ctx, person)
	if err != nil {
		return "", err
	}
	h := fnv.New64a()
	_, _ = h.Write([]byte(person)) // a hash takes everything
	round, at := len(before)/len(recipes), len(before)%len(recipes)
	order := mrand.New(mrand.NewPCG(h.Sum64(), uint64(round))).Perm(len(recipes))
	var number [4]byte
	_, _ = rand.Read(number[:]) // it never fails
	v := begun{Drill: "d-" + strings.ToLower(rand.Text()[:16]), Recipe: recipes[order[at]].key, Number: uint64(binary.BigEndian.Uint32(number[:]))}
	return v.Drill, b.add(ctx, person, kindBegun, v)
}

// Say notes what a person says of a place. It may be said anew until the drill ends.
func (b *Book) Say(ctx context.Context, person, id string, p Place, a Answer) error {
	d, err := b.Find(ctx, person, id)
	switch {
	case err != nil:
		return err
	case d.Done():
		return ErrOver
	case !slices.Contains(Places(), p) || !slices.Contains(Answers(), a):
		return ErrChoices
	}
	return b.add(ctx, person, kindAnswered, answered{Drill: id, Place: p, Answer: a})
}

// End ends a drill: what was there, what the program said and what the person said are kept
// together.
func (b *Book) End(ctx context.Context, person, id string, m *Made) error {
	d, err := b.Find(ctx, person, id)
	if err != nil {
		return err
	}
	if d.Done() {
		return ErrOver
	}
	if _, open := d.Next(); open {
		return ErrNotYet
	}
	v := ended{Drill: id, Version: m.Version}
	for _, p := range Places() {
		v.Told = append(v.Told, Told{
			Place: p, There: Expected(m.Truth, p), Codes: codes(m.Truth, p), Program: Expected(m.Program, p), Said: codes(m.Program, p), Person: d.Said[p],
		})
	}
	return b.add(ctx, person, kindEnded, v)
}

// codes lists the codes at a place, each once.
func codes(spots []Spot, p Place) []finding.Code {
	var out []finding.Code
	for _, s := range spots {
		if s.Place == p && !slices.Contains(out, s.Code) {
			out = append(out, s.Code)
		}
	}
	return out
}

func (b *Book) add(ctx context.Context, person, kind string, body any) error {
	return b.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(practice, person, kind, body)
		return err
	})
}
