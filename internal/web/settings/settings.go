// Package settings gathers what the page of settings shows, and reads what its forms
// say. It knows nothing of pages.
package settings

import (
	"net/url"
	"strconv"
	"strings"
	"time"

	"selvage/internal/work"
	"selvage/limit"
)

// Limit is one row of the table of limits, for a page.
type Limit struct {
	Row     limit.Row
	Path    string // of its own page, without the beginning
	Name    string
	For     string
	Unit    string
	Setting bool // a plain value, with no levels
	Changed bool // by the practice
}

// Limits lists the rows of the table that checks are held against, against the one that
// was given.
func Limits(now, given limit.Table) []Limit {
	var out []Limit
	for _, r := range now.Rows() {
		out = append(out, of(r, given))
	}
	return out
}

func of(r limit.Row, given limit.Table) Limit {
	l := Limit{Row: r, Name: strings.ReplaceAll(string(r.ID), "-", " "), For: r.For.String(), Unit: unit(r.Unit), Setting: r.Bad == limit.Setting, Changed: true}
	q := url.Values{}
	for k, v := range map[string]string{"material": string(r.For.Material), "cement": string(r.For.Cement), "zone": string(r.For.Zone), "class": r.For.Class} {
		if v != "" {
			q.Set(k, v)
		}
	}
	l.Path = url.PathEscape(string(r.ID))
	if len(q) > 0 {
		l.Path += "?" + q.Encode()
	}
	for _, g := range given.Rows() {
		if g.ID == r.ID && g.For == r.For {
			l.Changed = g.Flag != r.Flag || g.Advise != r.Advise || g.Source != r.Source
		}
	}
	return l
}

// unit writes a unit for people.
func unit(u limit.Unit) string {
	switch u {
	case limit.UM:
		return "µm"
	case limit.MM2:
		return "mm²"
	case limit.Deg:
		return "°"
	case limit.One:
		return ""
	}
	return string(u)
}

// Find returns the row that an address names.
func Find(now, given limit.Table, id string, q url.Values) (Limit, bool) {
	want := selector(q)
	for _, r := range now.Rows() {
		if string(r.ID) == id && r.For == want {
			return of(r, given), true
		}
	}
	return Limit{}, false
}

func selector(q url.Values) limit.Selector {
	return limit.Selector{
		Material: limit.Material(q.Get("material")), Cement: limit.Cement(q.Get("cement")),
		Zone: limit.Zone(q.Get("zone")), Class: q.Get("class"),
	}
}

// NumberError says that what stands in a field is no number.
type NumberError struct{ Text string }

// Error returns one line.
func (e *NumberError) Error() string { return "no number: " + e.Text }

// Change reads the form of a limit: flag, advise, source, reason; shipped puts the given
// row back.
func Change(id string, q, form url.Values) (work.LimitChange, error) {
	v := work.LimitChange{
		ID: limit.ID(id), For: selector(q), Source: form.Get("source"), Reason: form.Get("reason"), Shipped: form.Get("do") == "shipped",
	}
	if v.Shipped {
		return v, nil
	}
	var err error
	if v.Flag, err = number(form.Get("flag")); err != nil {
		return v, err
	}
	v.Advise, err = number(form.Get("advise"))
	return v, err
}

// number reads a number with a point or a comma; empty is none.
func number(s string) (*float64, error) {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil, nil
	}
	n, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil {
		return nil, &NumberError{Text: s}
	}
	return &n, nil
}

// Times reads the form of a way to open the sulcus: minutes, with a point or a comma.
func Times(key string, form url.Values) (work.TimesChange, error) {
	v := work.TimesChange{Key: key, Source: form.Get("source"), Reason: form.Get("reason")}
	for name, into := range map[string]*int{"least": &v.Least, "most": &v.Most} {
		n, err := number(form.Get(name))
		if err != nil {
			return v, err
		}
		if n != nil {
			if *n < -1e6 || *n > 1e6 { // what cannot be is told by who takes it
				*n = -1
			}
			*into = int(*n*60 + 0.5)
		}
	}
	return v, nil
}

// Minutes writes a time in minutes, for a form: "1.5".
func Minutes(d time.Duration) string {
	if d == 0 {
		return ""
	}
	return strconv.FormatFloat(d.Minutes(), 'g', 6, 64)
}

// Level writes a level for a form; empty where there is none.
func Level(l limit.Level) string {
	if !l.Set {
		return ""
	}
	return l.String()
}
