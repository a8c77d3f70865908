package people

import (
	"slices"
	"time"

	"selvage/internal/store"
)

// practice is the case id of events that belong to no case.
const practice = ""

// system is who acts where nobody has shown who they are.
const system = "selvage"

// The kinds of events, with their bodies.
const (
	kindAdded   = "person-added"     // added
	kindChanged = "person-changed"   // added
	kindLeft    = "person-left"      // ref
	kindBack    = "person-came-back" // ref
	kindProof   = "proof-set"        // proofSet: that it was set, never what it is
	kindIn      = "signed-in"        // entry
	kindRefused = "sign-in-refused"  // entry
	kindLocked  = "locked"           // locked
	kindSealed  = "sealed-code-used" // ref
	kindSetting = "settings-changed" // Settings
	kindKeys    = "keys-set"         // keysSet
	kindProgram = "program-added"    // added
	kindEnded   = "program-ended"    // ref
)

// EventKinds lists the kinds of events that belong to no case.
func EventKinds() []string {
	return []string{kindAdded, kindChanged, kindLeft, kindBack, kindProof, kindIn, kindRefused, kindLocked, kindSealed, kindSetting, kindKeys, kindProgram, kindEnded}
}

type added struct {
	Person string `json:"person"`
	Name   string `json:"name"`
	Roles  []Role `json:"roles"`
}

type ref struct {
	Person string `json:"person"`
}

type proofSet struct {
	Person string `json:"person"`
	Kind   Kind   `json:"kind"`
}

type entry struct {
	Person string `json:"person,omitempty"` // empty: no such person
	Place  Place  `json:"place"`
}

type locked struct {
	Idle bool `json:"idle"` // by itself, since nothing was touched
}

// Person is somebody who works here, or did.
type Person struct {
	ID    string
	Name  string
	Roles []Role
	Left  bool
	Since time.Time // sessions that began before are void: the proof was changed, or the person left

	Keys map[string]string // that were laid elsewhere, by the usual key; see [Keys]
}

// Settings are how the page behaves towards people.
type Settings struct {
	Idle int `json:"lock_after_minutes"` // without a touch
	Keep int `json:"keep_years"`         // how long a case is kept after its last change
}

// defaultSettings hold until a manager says otherwise.
var defaultSettings = Settings{Idle: 10, Keep: 10}

// IdleChoices are the times after which the page may lock itself, minutes.
func IdleChoices() []int { return []int{2, 5, 10, 20, 60} }

// KeepChoices are for how long cases may be kept, years.
func KeepChoices() []int { return []int{3, 5, 7, 10, 11, 20, 30} }

// roster is everybody, computed from the events.
type roster struct {
	n        int64 // the last event that was applied
	people   []Person
	programs []Person // other programs
	settings Settings
}

func (r *roster) find(id string) (Person, bool) {
	i := slices.IndexFunc(r.people, func(p Person) bool { return p.ID == id })
	if i < 0 {
		return Person{}, false
	}
	return r.people[i], true
}

// managers counts those who may say who works here.
func (r *roster) managers() int {
	n := 0
	for _, p := range r.people {
		if p.May(Staff) {
			n++
		}
	}
	return n
}

// clone returns a copy that may be changed.
func (r *roster) clone() *roster {
	c := *r
	c.people, c.programs = slices.Clone(r.people), slices.Clone(r.programs)
	return &c
}

// apply adds events. Kinds that are not known are left alone.
func (r *roster) apply(events []store.Event) error {
	for _, e := range events {
		if err := r.add(e); err != nil {
			return err
		}
		r.n = e.N
	}
	return nil
}

func (r *roster) add(e store.Event) error {
	switch e.Kind {
	case kindAdded:
		var v added
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.people = append(r.people, Person{ID: v.Person, Name: v.Name, Roles: v.Roles})
	case kindChanged:
		var v added
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.person(v.Person, func(p *Person) { p.Name, p.Roles = v.Name, v.Roles })
	case kindLeft, kindBack:
		var v ref
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.person(v.Person, func(p *Person) { p.Left, p.Since = e.Kind == kindLeft, e.At })
	case kindProof:
		var v proofSet
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.person(v.Person, func(p *Person) { p.Since = e.At })
	case kindProgram, kindEnded:
		return r.addProgram(e)
	case kindKeys:
		var v keysSet
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.person(v.Person, func(p *Person) { p.Keys = v.Keys })
	case kindSetting:
		return e.Decode(&r.settings)
	}
	return nil
}

func (r *roster) person(id string, f func(*Person)) {
	if i := slices.IndexFunc(r.people, func(p Person) bool { return p.ID == id }); i >= 0 {
		f(&r.people[i])
	}
}
