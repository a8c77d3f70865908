package limit

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"
)

//go:embed limits.toml
var shipped []byte

// Default returns the shipped table. It panics if the embedded file is broken,
// which the package's own tests exclude. The file is read once: a Table is never
// altered, so all callers may share it.
func Default() Table { return read() }

var read = sync.OnceValue(func() Table {
	t, err := decode(shipped)
	if err != nil {
		panic("limit: the embedded table does not parse")
	}
	return t
})

// Shipped returns the bytes of the shipped table, for a practice to edit.
func Shipped() []byte { return bytes.Clone(shipped) }

// Parse reads a practice's own table. Keys that are not known, limits that the
// program does not have, units or directions other than the default's, and levels
// in the wrong order are errors that name the row. Rows that the copy leaves out
// keep their default.
func Parse(data []byte) (Table, error) {
	own, err := decode(data)
	if err != nil {
		return Table{}, err
	}
	def := Default()
	out := Table{semver: own.semver}
	used := make([]bool, len(own.rows))
	for _, d := range def.rows {
		row := d
		for i, r := range own.rows {
			if r.key() == d.key() {
				row, used[i] = r, true
			}
		}
		out.rows = append(out.rows, row)
	}
	for i, r := range own.rows {
		k := slices.IndexFunc(def.rows, func(d Row) bool { return d.ID == r.ID })
		if k < 0 {
			return Table{}, fmt.Errorf("limits: there is no limit %q", string(r.ID))
		}
		if d := def.rows[k]; r.Unit != d.Unit || r.Bad != d.Bad {
			return Table{}, fmt.Errorf("limits: %s must be in %s and bad %s", r.name(), d.Unit, d.Bad)
		}
		if !used[i] {
			out.rows = append(out.rows, r)
		}
	}
	return out, nil
}

type fileTOML struct {
	Version string    `toml:"version"`
	Limit   []rowTOML `toml:"limit"`
}

type rowTOML struct {
	ID       string   `toml:"id"`
	Material string   `toml:"material"`
	Cement   string   `toml:"cement"`
	Zone     string   `toml:"zone"`
	Class    string   `toml:"class"`
	Unit     string   `toml:"unit"`
	Bad      string   `toml:"bad"`
	Flag     *float64 `toml:"flag"`
	Advise   *float64 `toml:"advise"`
	Value    *float64 `toml:"value"`
	Source   string   `toml:"source"`
	Memory   bool     `toml:"memory"`
	Note     string   `toml:"note"`
}

// decode reads a table strictly, without reference to the default.
func decode(data []byte) (Table, error) {
	var f fileTOML
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return Table{}, describe(err)
	}
	if f.Version == "" {
		return Table{}, errors.New("limits: no version is stated; add a line such as version = \"1.0.0\"")
	}
	t := Table{semver: f.Version}
	for i, r := range f.Limit {
		row, err := r.row()
		if err != nil {
			return Table{}, fmt.Errorf("limits: row %d: %w", i+1, err)
		}
		if slices.ContainsFunc(t.rows, func(o Row) bool { return o.key() == row.key() }) {
			return Table{}, fmt.Errorf("limits: row %d: %s is given twice", i+1, row.name())
		}
		t.rows = append(t.rows, row)
	}
	return t, nil
}

// describe says where in the text an error of the decoder lies, on one line.
func describe(err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		e := strict.Errors[0]
		line, _ := e.Position()
		return fmt.Errorf("limits: line %d: unknown key %q", line, strings.Join(e.Key(), "."))
	}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, col := de.Position()
		return fmt.Errorf("limits: line %d, column %d: %w", line, col, err)
	}
	return fmt.Errorf("limits: %w", err)
}

func (r rowTOML) row() (Row, error) {
	row := Row{
		ID:   ID(r.ID),
		For:  Selector{Material(r.Material), Cement(r.Cement), Zone(r.Zone), r.Class},
		Unit: Unit(r.Unit), Bad: Direction(r.Bad),
		Source: r.Source, Memory: r.Memory, Note: r.Note,
	}
	row.Flag, row.Advise = level(r.Flag), level(r.Advise)
	if row.Bad == Setting {
		if r.Flag != nil || r.Advise != nil {
			return row, fmt.Errorf("%s is a setting: it has a value, no levels", row.name())
		}
		row.Flag = level(r.Value)
	} else if r.Value != nil {
		return row, fmt.Errorf("%s is a limit: it has flag and advise, no value", row.name())
	}
	return row, row.check()
}

func level(p *float64) Level {
	if p == nil {
		return Level{}
	}
	return Level{V: *p, Set: true}
}

func (r Row) name() string {
	if s := r.For.String(); s != "" {
		return string(r.ID) + " (" + s + ")"
	}
	return string(r.ID)
}

// check reports the first rule that a row breaks.
func (r Row) check() error {
	switch {
	case r.ID == "":
		return errors.New("no id")
	case !slices.Contains([]Unit{One, MM, MM2, Deg, UM, MPa, Days}, r.Unit):
		return fmt.Errorf("%s: unknown unit %q", r.name(), string(r.Unit))
	case !slices.Contains([]Direction{Below, Above, Setting}, r.Bad):
		return fmt.Errorf("%s: bad must be below, above or setting, not %q", r.name(), string(r.Bad))
	case !r.Flag.Set && !r.Advise.Set:
		return fmt.Errorf("%s: no level is given", r.name())
	case !finite(r.Flag.V) || !finite(r.Advise.V) || r.Flag.V < 0 || r.Advise.V < 0:
		return fmt.Errorf("%s: a level must be a number, zero or more", r.name())
	case r.Source == "":
		return fmt.Errorf("%s: no source; write \"common practice\" or \"our own choice\" if there is none", r.name())
	case r.For.Material != "" && !slices.Contains(Materials(), r.For.Material):
		return fmt.Errorf("%s: unknown material", r.name())
	case r.For.Cement != "" && !slices.Contains(Cements(), r.For.Cement):
		return fmt.Errorf("%s: unknown cement", r.name())
	case r.For.Zone != "" && !slices.Contains(Zones(), r.For.Zone):
		return fmt.Errorf("%s: unknown zone", r.name())
	case r.For.Class != "" && !slices.Contains([]string{"incisor", "canine", "premolar", "molar"}, r.For.Class):
		return fmt.Errorf("%s: unknown class of tooth", r.name())
	}
	if r.Flag.Set && r.Advise.Set {
		if r.Bad == Below && r.Advise.V < r.Flag.V || r.Bad == Above && r.Advise.V > r.Flag.V {
			return fmt.Errorf("%s: advise must come before flag", r.name())
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
