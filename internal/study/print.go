package study

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"selvage/finding"
)

// Text writes the tables for a terminal.
func (r Result) Text(w io.Writer) error {
	fmt.Fprintf(w, "%s\n\n", r.headline())
	for _, t := range r.tables() {
		fmt.Fprintf(w, "%s\n", t.title)
		tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintf(tw, "  %s\n", strings.Join(t.head, "\t"))
		for _, row := range t.rows {
			fmt.Fprintf(tw, "  %s\n", strings.Join(row, "\t"))
		}
		if err := tw.Flush(); err != nil {
			return err
		}
		fmt.Fprintf(w, "  %s\n\n", t.note)
	}
	for _, t := range r.Trials {
		if t.Failed != "" {
			fmt.Fprintf(w, "case %d (tooth %s, faults %q) could not be made: %s\n", t.Number, t.Tooth, t.Faults, t.Failed)
		}
	}
	return nil
}

// Page writes doc/accuracy.md.
func (r Result) Page(w io.Writer, program string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# Accuracy\n\nMade by `make study`; do not edit. %s\n\n", r.headline())
	fmt.Fprintf(&b, "Program %s. Phantoms are made shapes, not mouths: these numbers say how right the\nmeasuring is on scans like these, not how well a scanner scans.\n\n", program)
	for _, t := range r.tables() {
		fmt.Fprintf(&b, "## %s\n\n| %s |\n|%s\n", t.title, strings.Join(t.head, " | "), strings.Repeat(" --- |", len(t.head)))
		for _, row := range t.rows {
			fmt.Fprintf(&b, "| %s |\n", strings.Join(row, " | "))
		}
		fmt.Fprintf(&b, "\n%s\n\n", t.note)
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

func (r Result) headline() string {
	s := fmt.Sprintf("%d phantom cases, seed %d: %d without a fault, %d with one or more.", r.Cases, r.Seed, r.Sound, r.Cases-r.Sound)
	if r.Failed > 0 {
		s += fmt.Sprintf(" %d could not be made and are left out.", r.Failed)
	}
	return s
}

// table is a table for either form of output.
type table struct {
	title string
	head  []string
	rows  [][]string
	note  string
}

func (r Result) tables() []table {
	return []table{r.verdictTable(), r.codeTable(), r.measureTable(), r.marginTable(), r.groupTable(), r.registeredTable(), r.adviceTable()}
}

func (r Result) verdictTable() table {
	t := table{
		title: "Verdicts",
		head:  []string{"due", "cases"},
		note:  "Cases in which a value is too close to its limit to call are left out.",
	}
	for _, v := range finding.Verdicts() {
		t.head = append(t.head, string(v))
	}
	t.head = append(t.head, "refused", "right (95 %)")
	for _, row := range r.Verdicts {
		cells := []string{string(row.Expected), fmt.Sprint(row.Cases)}
		for _, n := range row.Given {
			cells = append(cells, fmt.Sprint(n))
		}
		t.rows = append(t.rows, append(cells, row.Right.String()))
	}
	return t
}

func (r Result) codeTable() table {
	t := table{
		title: "Findings",
		head:  []string{"finding", "caught (95 %)", "missed", "falsely raised (95 %)", "too close to call", "notes due", "given", "without cause"},
		note: "Caught and falsely raised count what acts; for these the notes, beyond the advised level only, stand beside. A code that is only ever a note counts at either level. " +
			"Intervals are Wilson's, 95 %. Where the truth lies within the stated uncertainty of a limit the case is counted apart.",
	}
	for _, c := range r.Codes {
		t.rows = append(t.rows, []string{
			string(c.Code), c.Caught.String(), fmt.Sprint(c.Missed), c.False.String(), fmt.Sprint(c.Close),
			fmt.Sprint(c.NotesDue), fmt.Sprint(c.NotesGiven), fmt.Sprint(c.NotesFree),
		})
	}
	return t
}

func (r Result) measureTable() table {
	t := table{
		title: "Measures",
		head:  []string{"measure", "unit", "cases", "not measured", "bias", "RMS", "95th pct", "median U", "U held the truth (95 %)"},
		note:  "Errors are measured minus true, 95th percentiles of their size. U is the stated uncertainty (k = 2), which should hold the truth about 95 times in 100.",
	}
	for _, m := range r.Measures {
		if m.N == 0 {
			t.rows = append(t.rows, []string{m.Name, m.Unit, "0", fmt.Sprint(m.Missing), "-", "-", "-", "-", "-"})
			continue
		}
		t.rows = append(t.rows, []string{
			m.Name, m.Unit, fmt.Sprint(m.N), fmt.Sprint(m.Missing),
			fmt.Sprintf("%+.3f", m.Bias), fmt.Sprintf("%.3f", m.RMS), fmt.Sprintf("%.3f", m.P95),
			fmt.Sprintf("%.3f", m.MedianU), m.Held.String(),
		})
	}
	return t
}

func (r Result) marginTable() table {
	t := table{
		title: "Margin",
		head:  []string{"cases", "mean distance, mm", "95th pct of a case, mm", "worst case's 95th pct, mm", "largest of any point, mm"},
		note:  "From the traced to the true line, over what was not reported as doubtful.",
	}
	m := r.Margin
	if m.Cases > 0 {
		t.rows = append(t.rows, []string{fmt.Sprint(m.Cases), fmt.Sprintf("%.4f", m.Mean), fmt.Sprintf("%.4f", m.P95), fmt.Sprintf("%.4f", m.Worst), fmt.Sprintf("%.4f", m.Largest)})
	}
	return t
}

// String prints a rate as "17/20 (64-95 %)".
func (r Rate) String() string {
	if r.Of == 0 {
		return "-"
	}
	return fmt.Sprintf("%d/%d (%.0f-%.0f %%)", r.Hits, r.Of, 100*r.Low, 100*r.High)
}
