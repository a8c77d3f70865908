package main

import (
	"fmt"
	"strings"
	"time"
)

// row is one measurement.
type row struct {
	what      string
	triangles int
	cores     int
	median    time.Duration
	cpu       time.Duration // of a whole check
	rate      string        // per second, or empty
	note      string
}

func (r row) text() string {
	return fmt.Sprintf("%9d  %-34s %d core  %10.2f ms  %-18s %s", r.triangles, r.what, r.cores, ms(r.median), r.rate, r.note)
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// table is everything that was measured in one run.
type table struct {
	machine string
	rows    []row
}

// page writes the table as Markdown.
func (t table) page() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Speed\n\nMade by `make bench`; do not edit. %s. Medians.\n\n", t.machine)
	b.WriteString("| triangles | what | cores | median, ms | rate | |\n| ---: | --- | ---: | ---: | --- | --- |\n")
	for _, r := range t.rows {
		fmt.Fprintf(&b, "| %d | %s | %d | %.2f | %s | %s |\n", r.triangles, r.what, r.cores, ms(r.median), r.rate, r.note)
	}
	return b.String()
}

// perSecond prints a rate in millions or thousands of a unit.
func perSecond(n int, d time.Duration, unit string) string {
	rate := float64(n) / d.Seconds()
	if rate >= 1e6 {
		return fmt.Sprintf("%.2f M %s/s", rate/1e6, unit)
	}
	return fmt.Sprintf("%.1f k %s/s", rate/1e3, unit)
}
