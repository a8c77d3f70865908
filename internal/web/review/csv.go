package review

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"selvage/quality"
)

// Table is one table of the page, as it is exported.
type Table struct {
	Name   string // in the file
	Groups []Group
}

// WriteCSV writes tables as counts and intervals. WHY no shares: a sheet that sorts by a
// share puts the smallest group first; whoever needs one has the counts.
func WriteCSV(out io.Writer, tables []Table, counts map[string][]Count, judged []Judged) error {
	w := csv.NewWriter(out)
	write := func(cells ...string) { _ = w.Write(cells) } // Flush says what went wrong
	write("table", "group", "of", "right_first_time", "right_low", "right_high", "remade", "remade_low", "remade_high", "adjusting_min_median", "adjusting_min_low", "adjusting_min_high")
	for _, t := range tables {
		for _, g := range t.Groups {
			row := append([]string{t.Name, plain(g.Key)}, strconv.Itoa(g.Right.Of))
			row = append(append(row, three(g.Right)...), three(g.Remade)...)
			write(append(row, middle(g.Minutes)...)...)
		}
	}
	for _, name := range []string{"not-right", "remade-for"} {
		for _, c := range counts[name] {
			write(name, c.Key, strconv.Itoa(c.Rate.Of), strconv.Itoa(c.Rate.Hits), share(c.Rate.Low), share(c.Rate.High))
		}
	}
	for _, j := range judged {
		write("finding-not-right", string(j.Code), strconv.Itoa(j.False.Of), strconv.Itoa(j.False.Hits), share(j.False.Low), share(j.False.High))
		write("finding-silent-and-remade", string(j.Code), "", strconv.Itoa(j.Silent))
		write("finding-spoke-and-remade", string(j.Code), "", strconv.Itoa(j.Spoke))
	}
	w.Flush()
	return w.Error()
}

func three(r quality.Rate) []string {
	return []string{strconv.Itoa(r.Hits), share(r.Low), share(r.High)}
}

func middle(s quality.Spread) []string {
	if !s.Known {
		return []string{"", "", ""}
	}
	return []string{fmt.Sprintf("%.1f", s.Median), fmt.Sprintf("%.1f", s.Low), fmt.Sprintf("%.1f", s.High)}
}

func share(v float64) string { return fmt.Sprintf("%.3f", v) }

// plain keeps a spreadsheet from taking a name for a formula.
func plain(s string) string {
	if s != "" && strings.ContainsAny(s[:1], "=+-@\t\r") {
		return "'" + s
	}
	return s
}
