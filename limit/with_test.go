package limit_test

import (
	"math"
	"strings"
	"testing"

	"selvage/limit"
)

// TestEncodeComesBack: a table that was written is read as the same table.
func TestEncodeComesBack(t *testing.T) {
	def := limit.Default()
	back, err := limit.Parse(def.Encode())
	if err != nil || back.Version() != def.Version() || len(back.Edited(def)) != 0 {
		t.Fatalf("the shipped table: %v, %s and %s", err, back.Version(), def.Version())
	}
	row := def.Rows()[0]
	row.Flag.V, row.Source = 1e-7, "a \"source\" \\ with\nlines, ümläuts and \x01"
	own, err := def.With(row)
	if err != nil {
		t.Fatal(err)
	}
	added := row
	added.For.Class = "molar"
	if own, err = own.With(added); err != nil {
		t.Fatal(err)
	}
	back, err = limit.Parse(own.Encode())
	if err != nil || back.Version() != own.Version() || len(back.Edited(def)) != 2 {
		t.Errorf("an edited table: %v, %d edits, %s and %s", err, len(back.Edited(def)), back.Version(), own.Version())
	}
	if len(def.Edited(limit.Default())) != 0 {
		t.Error("With altered the table that it was given")
	}
}

func TestWithRefuses(t *testing.T) {
	def := limit.Default()
	for words, edit := range map[string]func(*limit.Row){
		"there is no limit":   func(r *limit.Row) { r.ID = "colour" },
		"must be in":          func(r *limit.Row) { r.Unit = limit.Deg },
		"number, zero or":     func(r *limit.Row) { r.Flag.V = math.NaN() },
		"no source":           func(r *limit.Row) { r.Source = "" },
		"no level":            func(r *limit.Row) { r.Flag, r.Advise = limit.Level{}, limit.Level{} },
		"unknown material":    func(r *limit.Row) { r.For.Material = "cheese" },
		"advise must come be": func(r *limit.Row) { r.Advise = limit.Level{V: r.Flag.V + 1, Set: true} },
	} {
		row := def.Rows()[0]
		edit(&row)
		if _, err := def.With(row); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("want %q: %v", words, err)
		}
	}
}
