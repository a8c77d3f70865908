package limit

import "strings"

// ID names a limit; several rows share one where it differs by material, cement,
// zone or class.
type ID string

// Unit is the unit of a row's levels, in ASCII.
type Unit string

// The units of limits.
const (
	One  Unit = "1" // ratios and counts
	MM   Unit = "mm"
	MM2  Unit = "mm2"
	Deg  Unit = "deg"
	UM   Unit = "um"
	MPa  Unit = "MPa"
	Days Unit = "days" // working days
)

// Direction says which side of a level is bad.
type Direction string

// A value is bad below or above its level; a Setting is a plain number that
// other limits are made from, with no bad side.
const (
	Below   Direction = "below"
	Above   Direction = "above"
	Setting Direction = "setting"
)

// Level is one limit value that may be absent.
type Level struct {
	V   float64
	Set bool
}

// Beyond reports whether v lies strictly on the bad side of the level. An absent
// level has no bad side, nor has a Setting.
func (l Level) Beyond(d Direction, v float64) bool {
	switch {
	case !l.Set:
		return false
	case d == Below:
		return v < l.V
	case d == Above:
		return v > l.V
	default:
		return false
	}
}

// Selector says what a row is for, or what a limit is wanted for. In a row an
// empty field fits everything; in a question it means "unknown", and fits only
// rows that are empty there too.
type Selector struct {
	Material Material
	Cement   Cement
	Zone     Zone
	Class    string // class of tooth: incisor, canine, premolar, molar
}

// String returns the fields that are set, joined with " / ".
func (s Selector) String() string {
	var parts []string
	for _, p := range []string{string(s.Material), string(s.Cement), string(s.Zone), s.Class} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, " / ")
}

// Row is one limit for one selector.
type Row struct {
	ID     ID
	For    Selector
	Unit   Unit
	Bad    Direction
	Flag   Level  // acts
	Advise Level  // notes
	Source string // where the value comes from, or "common practice"
	Memory bool   // the source was not displayed: check before relying on it
	Note   string // what the row means, one sentence
}

// Grade judges a value that has no uncertainty: "flag" beyond the flag level,
// else "advise" beyond the advise level, else "ok".
func (r Row) Grade(v float64) Grade {
	switch {
	case r.Flag.Beyond(r.Bad, v):
		return Flagged
	case r.Advise.Beyond(r.Bad, v):
		return Advised
	default:
		return OK
	}
}

// Grade is the outcome of [Row.Grade].
type Grade string

// The three grades.
const (
	OK      Grade = "ok"
	Advised Grade = "advise"
	Flagged Grade = "flag"
)

// fits reports how many fields of the row's selector are set if all of them
// agree with q, or ok false if one does not.
func (r Row) fits(q Selector) (specific int, ok bool) {
	for _, f := range [4][2]string{
		{string(r.For.Material), string(q.Material)},
		{string(r.For.Cement), string(q.Cement)},
		{string(r.For.Zone), string(q.Zone)},
		{r.For.Class, q.Class},
	} {
		if f[0] == "" {
			continue
		}
		if f[0] != f[1] {
			return 0, false
		}
		specific++
	}
	return specific, true
}
