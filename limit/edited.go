package limit

import "fmt"

// Change is one row in which a table differs from another.
type Change struct {
	Was, Is Row // the zero Row where the row exists on one side only
}

// Edited lists the rows of t that differ from def in value or selector, in the
// order of def and then of t. A changed source alone counts too: it says that
// somebody looked.
func (t Table) Edited(def Table) []Change {
	var out []Change
	for _, d := range def.rows {
		r, ok := t.byKey(d.key())
		switch {
		case !ok:
			out = append(out, Change{Was: d})
		case r.canonical() != d.canonical():
			out = append(out, Change{Was: d, Is: r})
		}
	}
	for _, r := range t.rows {
		if _, ok := def.byKey(r.key()); !ok {
			out = append(out, Change{Is: r})
		}
	}
	return out
}

func (t Table) byKey(k string) (Row, bool) {
	for _, r := range t.rows {
		if r.key() == k {
			return r, true
		}
	}
	return Row{}, false
}

// String says the change in one line: "wall-height (molar): flag 4 → 3.5".
func (c Change) String() string {
	switch {
	case c.Was.ID == "":
		return fmt.Sprintf("%s: added, flag %v, advise %v", c.Is.name(), c.Is.Flag, c.Is.Advise)
	case c.Is.ID == "":
		return c.Was.name() + ": removed"
	}
	out := c.Is.name() + ":"
	sep := " "
	if c.Was.Flag != c.Is.Flag {
		word := "flag"
		if c.Is.Bad == Setting {
			word = "value"
		}
		out, sep = out+fmt.Sprintf("%s%s %v → %v", sep, word, c.Was.Flag, c.Is.Flag), ", "
	}
	if c.Was.Advise != c.Is.Advise {
		out, sep = out+fmt.Sprintf("%sadvise %v → %v", sep, c.Was.Advise, c.Is.Advise), ", "
	}
	if c.Was.Source != c.Is.Source || c.Was.Memory != c.Is.Memory {
		out += sep + "source"
	}
	return out
}
