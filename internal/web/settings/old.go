package settings

import (
	"strings"

	"selvage/internal/work"
)

// Old is a case whose time is over. Held and Asked are sentences, empty where it is not.
type Old struct {
	ID, Name, Tooth, Changed, Held, Asked string
	Mine                                  bool // the reader asked that it be deleted
}

// oldMost is how many old cases are shown at a time.
const oldMost = 20

// Teller puts settings and cases into the words of a reader.
type Teller struct {
	T     func(key string, args ...any) string
	By    func(actor string) string
	Tooth func(work.Case) string
	Me    string // the reader
}

// Old lists cases whose time is over, and how many more there are.
func (t Teller) Old(cases []work.Case) (rows []Old, more int) {
	const day = "2006-01-02"
	for i, c := range cases {
		if i == oldMost {
			return rows, len(cases) - i
		}
		row := Old{ID: c.ID, Name: c.Name, Tooth: t.Tooth(c), Changed: c.Changed.Local().Format(day)}
		if row.Name == "" {
			row.Name = t.T("unnamed")
		}
		if h := c.Keeping.Held; h != nil {
			row.Held = t.T("old.held", h.What, t.By(h.By), h.At.Local().Format(day))
		}
		if a := c.Keeping.Asked; a != nil {
			row.Asked, row.Mine = t.T("old.asked", t.By(a.By), a.At.Local().Format(day)), a.By == t.Me
		}
		rows = append(rows, row)
	}
	return rows, 0
}

// Limits names limits, and what they are for. A limit of the practice's own table that the
// catalogue does not know keeps its own name.
func (t Teller) Limits(rows ...Limit) []Limit {
	for i, l := range rows {
		rows[i].Name = t.or("limit."+string(l.Row.ID), l.Name)
		var parts []string
		if m := string(l.Row.For.Material); m != "" {
			parts = append(parts, t.or("material."+m, m))
		}
		for _, p := range []string{string(l.Row.For.Cement), string(l.Row.For.Zone), l.Row.For.Class} {
			if p != "" {
				parts = append(parts, t.or("limit.for."+p, p))
			}
		}
		rows[i].For = strings.Join(parts, " / ")
	}
	return rows
}

// or says a key, or otherwise where the catalogue does not know it.
func (t Teller) or(key, otherwise string) string {
	if s := t.T(key); s != "["+key+"]" {
		return s
	}
	return otherwise
}
