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
	funnel bool
}

// one is a key that may be empty.
func one(of func(Work) string) func(Work) []string {
	return func(w Work) []string { return []string{of(w)} }
}

// kinds are the ways that a person may see. WHY one's own alone where others' are not for
// them: the table of rights says so, and a list with one name left out tells of that one.
func kinds(me people.Person, persons bool) []kind {
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
	case me.ID != "":
		person.only = me.ID
	default:
		return out
	}
	return append(out, person)
}
