package cli

import (
	"fmt"
	"io"

	"selvage/internal/casefile"
	"selvage/internal/check"
)

// printText prints the report for a person at a terminal.
func printText(w io.Writer, _ Env, result check.Outcome) error {
	r := result.Report
	fmt.Fprintln(w, r.Line)
	print := func(fs []casefile.Finding) {
		for _, f := range fs {
			fmt.Fprintf(w, "  %-22s %s %s\n", f.Code, f.Text, f.Advice)
		}
	}
	for _, t := range r.Restorations {
		print(t.Findings)
	}
	print(r.Findings)
	return nil
}

// pageOf makes the report with pictures.
func pageOf(check.Outcome) ([]byte, error) { return nil, fmt.Errorf("no page yet") }
