package limit

import (
	"fmt"
	"slices"
	"strings"
)

// With returns the table with a row put in the place of the one for the same limit and
// selector, or added where there is none. A row that [Parse] would refuse is refused.
func (t Table) With(r Row) (Table, error) {
	if err := r.check(); err != nil {
		return t, err
	}
	if r.Bad == Setting && r.Advise.Set {
		return t, fmt.Errorf("%s is a setting: it has a value, no levels", r.name())
	}
	k := slices.IndexFunc(t.rows, func(o Row) bool { return o.ID == r.ID })
	if k < 0 {
		return t, fmt.Errorf("there is no limit %q", string(r.ID))
	}
	if o := t.rows[k]; o.Unit != r.Unit || o.Bad != r.Bad {
		return t, fmt.Errorf("%s must be in %s and bad %s", r.name(), o.Unit, o.Bad)
	}
	out := Table{semver: t.semver, rows: slices.Clone(t.rows)}
	if i := slices.IndexFunc(out.rows, func(o Row) bool { return o.key() == r.key() }); i >= 0 {
		out.rows[i] = r
	} else {
		out.rows = append(out.rows, r)
	}
	return out, nil
}

// Encode writes the table as [Parse] reads it: the same rows, and the same version.
func (t Table) Encode() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "version = %s\n", quoted(t.semver))
	for _, r := range t.rows {
		b.WriteString("\n[[limit]]\n")
		text := func(key, v string) {
			if v != "" {
				fmt.Fprintf(&b, "%s = %s\n", key, quoted(v))
			}
		}
		level := func(key string, l Level) {
			if l.Set {
				fmt.Fprintf(&b, "%s = %s\n", key, number(l.V))
			}
		}
		text("id", string(r.ID))
		text("material", string(r.For.Material))
		text("cement", string(r.For.Cement))
		text("zone", string(r.For.Zone))
		text("class", r.For.Class)
		text("unit", string(r.Unit))
		text("bad", string(r.Bad))
		if r.Bad == Setting {
			level("value", r.Flag)
		} else {
			level("flag", r.Flag)
			level("advise", r.Advise)
		}
		text("source", r.Source)
		if r.Memory {
			b.WriteString("memory = true\n")
		}
		text("note", r.Note)
	}
	return []byte(b.String())
}

// quoted writes a basic string of TOML.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
