package review

import (
	"selvage/internal/people"
	"selvage/internal/web/page"
)

// kind is one way to group work.
type kind struct {
	name   string
	keys   func(Work) []string
	say    func(w page.Words, by func(string) string, key string) string
	only   string // the one group that is shown; empty: all
	held   bool   // no group is shown
	note   string // the key of what is said of it
	funnel bool
}

// shows reports whether a group is shown.
func (k kind) shows(key string) bool { return !k.held && (k.only == "" || key == k.only) }

// fewest is how many people must have had a hand in the works for one's own row to stand
// beside the total. WHY three: of two, what the total holds beside one's own is the other's.
const fewest = 3

// hands counts the people who had a hand in works.
func hands(works []Work) int {
	seen := map[string]bool{}
	for _, w := range works {
		for _, p := range w.People() {
			seen[p] = true
		}
	}
	return len(seen)
}

// one is a key that may be empty.
func one(of func(Work) string) func(Work) []string {
	return func(w Work) []string { return []string{of(w)} }
}

// kinds are the ways of grouping works that a person may see. WHY one's own alone where
// others' are not for them: the table of rights says so, and a list with one name left out
// tells of that one.
func kinds(me people.Person, persons bool, works []Work) []kind {
	named := func(of string) func(page.Words, func(string) string, string) string {
		return func(w page.Words, _ func(string) string, key string) string {
			if key == "" {
				return w.T("by.none")
			}
			if of == "" {
				return key
			}
			return w.T(of + key)
		}
	}
	laboratory := func(w page.Words, _ func(string) string, key string) string {
		switch key {
		case "":
			return w.T("by.none")
		case "in-house":
			return w.T("by.in-house")
		}
		return key
	}
	out := []kind{
		{name: "laboratory", keys: one(func(w Work) string { return w.Laboratory }), say: laboratory, funnel: true},
		{name: "material", keys: one(func(w Work) string { return w.Material }), say: named("material.")},
		{name: "tooth", keys: one(func(w Work) string { return w.Tooth }), say: named("")},
		{name: "depth", keys: one(func(w Work) string { return w.Depth }), say: named("depth.")},
	}
	person := kind{name: "person", keys: Work.People, funnel: persons, say: func(w page.Words, by func(string) string, key string) string {
		if key == "" {
			return w.T("by.none")
		}
		return by(key)
	}}
	switch {
	case persons:
		person.note = "person.lead"
	case me.ID != "" && hands(works) < fewest:
		person.held, person.note = true, "person.few"
	case me.ID != "":
		person.only, person.note = me.ID, "person.own"
	default:
		return out
	}
	return append(out, person)
}
