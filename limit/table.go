package limit

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Table is a set of limits. It is a value that nobody alters; the zero Table has
// no rows.
type Table struct {
	semver string
	rows   []Row
}

// Rows returns a copy of the rows, in the order of the file.
func (t Table) Rows() []Row { return slices.Clone(t.rows) }

// Semver returns the version that the file states for itself, such as "1.0.0".
func (t Table) Semver() string { return t.semver }

// Version returns the stated version and the first twelve hexadecimal digits of
// the SHA-256 of what the rows say, such as "1.0.0+3f2a…". Comments, order of keys
// and spelling of numbers in the file do not change it; any change of a value,
// selector or source does.
func (t Table) Version() string {
	h := sha256.New()
	for _, r := range t.rows {
		fmt.Fprintln(h, r.canonical())
	}
	return t.semver + "+" + hex.EncodeToString(h.Sum(nil))[:12]
}

// Find returns the most specific row of limit id that fits q: the one with most
// selector fields set, and among equals the one whose first set field comes first
// in the order material, cement, zone, class. ok is false if none fits.
func (t Table) Find(id ID, q Selector) (row Row, ok bool) {
	best := -1
	for _, r := range t.rows {
		if r.ID != id {
			continue
		}
		if s, fits := r.fits(q); fits && s*16+r.For.rank() > best {
			row, best, ok = r, s*16+r.For.rank(), true
		}
	}
	return row, ok
}

// Setting returns the number of a row that is a plain setting, 0 if there is
// none; the shipped table has all of them.
func (t Table) Setting(id ID) float64 {
	r, _ := t.Find(id, Selector{})
	return r.Flag.V
}

// Clearance returns the limit for the distance to the opposing tooth in a zone:
//
//	flag   = material minimum + cement space
//	advise = flag + allowance for adjustment
//
// in mm, bad below. ok is false where the table has no minimum for q.
func (t Table) Clearance(q Selector) (row Row, ok bool) {
	r, ok := t.Minimum(q)
	if !ok {
		return Row{}, false
	}
	cement, adjust := t.Setting(CementSpace), t.Setting(Adjustment)
	r.Flag.V += cement
	r.Advise = Level{V: r.Flag.V + adjust, Set: true}
	r.Note = fmt.Sprintf("material minimum and %s mm of cement; advised with %s mm for adjustment",
		number(cement), number(adjust))
	return r, true
}

// Minimum returns the least thickness of the material in a zone (flag) and the
// recommended one (advise), which the reduction is held against. A zone without a
// row of its own takes the row of the nearest like zone: fossa from non-functional,
// incisal from functional, lingual-front from axial.
func (t Table) Minimum(q Selector) (row Row, ok bool) {
	if r, ok := t.Find(MaterialMinimum, q); ok {
		return r, true
	}
	like := map[Zone]Zone{Fossa: NonFunctional, Incisal: Functional, LingualFront: Axial}
	z, ok := like[q.Zone]
	if !ok {
		return Row{}, false
	}
	q.Zone = z
	return t.Find(MaterialMinimum, q)
}

// rank orders selectors with equally many fields.
func (s Selector) rank() int {
	n := 0
	for _, set := range []bool{s.Material != "", s.Cement != "", s.Zone != "", s.Class != ""} {
		n *= 2
		if set {
			n++
		}
	}
	return n
}

func (r Row) key() string { return string(r.ID) + "|" + r.For.String() }

func (r Row) canonical() string {
	return strings.Join([]string{
		string(r.ID), string(r.For.Material), string(r.For.Cement), string(r.For.Zone), r.For.Class,
		string(r.Unit), string(r.Bad), r.Flag.String(), r.Advise.String(), r.Source, strconv.FormatBool(r.Memory),
	}, "|")
}

// String returns the number, or "none".
func (l Level) String() string {
	if !l.Set {
		return "none"
	}
	return number(l.V)
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
