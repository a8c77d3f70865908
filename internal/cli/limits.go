package cli

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"selvage/limit"
)

// limitsVerb prints the table of limits.
type limitsVerb struct {
	TOML   bool `name:"toml" help:"Print the table as TOML: the copy to edit."`
	Limits file `name:"limits" help:"Print this copy of the table and what it changes." predictor:"file"`
}

// Help is shown below the flags.
func (limitsVerb) Help() string {
	return `
Every number that a measure is held against, with the place it comes from. "flag"
acts: it asks for a scan or for the dentist. "advise" only notes. A value that lies
nearer to a limit than its own uncertainty is too close to call.

To use limits of your own:

    selvage limits --toml > our-limits.toml
    (edit it: rows you delete keep the shipped value)
    selvage limits --limits our-limits.toml
    selvage check CASE --limits our-limits.toml

Every report names the version of the table it was made with, and says when it was
edited.`
}

// Run prints the table.
func (v limitsVerb) Run(env Env) error {
	table := limit.Default()
	if v.Limits != "" {
		data, err := readBounded(string(v.Limits), maxTextBytes)
		if err != nil {
			return err
		}
		if table, err = parseLimits(string(v.Limits), data); err != nil {
			return err
		}
		if v.TOML {
			_, err = env.Stdout.Write(data)
			return err
		}
	}
	if v.TOML {
		_, err := env.Stdout.Write(limit.Shipped())
		return err
	}
	return printLimits(env, table)
}

// parseLimits reads a practice's table; a defect in it is an input error that
// names the file.
func parseLimits(path string, data []byte) (limit.Table, error) {
	table, err := limit.Parse(data)
	if err != nil {
		return limit.Table{}, &inputError{
			File: path, What: strings.TrimPrefix(err.Error(), "limits: "),
			Try: "selvage limits --toml prints a table that works", Err: err,
		}
	}
	return table, nil
}

func printLimits(env Env, table limit.Table) error {
	fmt.Fprintf(env.Stdout, "Limits %s\n\n", table.Version())
	w := tabwriter.NewWriter(env.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "LIMIT\tFOR\tBAD\tADVISE\tFLAG\tUNIT\tSOURCE")
	for _, r := range table.Rows() {
		bad, advise, flag := string(r.Bad), r.Advise.String(), r.Flag.String()
		if r.Bad == limit.Setting {
			bad, advise = "-", "-"
		}
		source := r.Source
		if r.Memory {
			source += " (not seen in print: check before relying on it)"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.ID, orDash(r.For.String()), bad, advise, flag, r.Unit, source)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	changes := table.Edited(limit.Default())
	if len(changes) == 0 {
		return nil
	}
	fmt.Fprintf(env.Stdout, "\nEdited, against the shipped table %s:\n", limit.Default().Version())
	for _, c := range changes {
		fmt.Fprintf(env.Stdout, "  %s\n", c)
	}
	return nil
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
