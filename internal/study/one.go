package study

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"selvage/finding"
)

// One makes and checks the single case number k of the study with the given seed.
func One(ctx context.Context, seed uint64, k int) (Trial, error) {
	var w bench
	return w.run(ctx, PlanCase(seed, k))
}

// Text tells one trial in full: what was due and what was said, and every measure
// beside its truth. A line that begins with ! is wrong by more than it states.
func (t Trial) Text(w io.Writer) error {
	faults := "no fault"
	if len(t.Faults) > 0 {
		faults = strings.Join(t.Faults, ", ")
	}
	fmt.Fprintf(w, "case %d, tooth %s, %s, noise %.1f µm, spacing %.2f mm: %s\n", t.Number, t.Tooth, t.Finish, t.NoiseUm, t.SpacingMm, faults)
	for _, d := range t.Dropped {
		fmt.Fprintf(w, "left out: %s\n", d)
	}
	switch {
	case t.Failed != "":
		fmt.Fprintf(w, "could not be made: %s\n", t.Failed)
		return nil
	case t.Refused != "":
		fmt.Fprintf(w, "due %s, refused: %s\n", t.Expected, t.Refused)
		return nil
	}
	fmt.Fprintf(w, "due %s, given %s\n", t.Expected, t.Verdict)
	fmt.Fprintf(w, "due:       %s\nraised:    %s\n", codes(t.Due), codes(t.Raised))
	fmt.Fprintf(w, "notes due: %s\nnoted:     %s\ntoo close: %s\n", codes(t.DueNotes), codes(t.Noted), codes(append(slices.Clone(t.Close), t.CloseTo...)))
	if t.Margin != nil {
		fmt.Fprintf(w, "margin: mean %.4f mm from the true line, 95th percentile %.4f\n", t.Margin.Mean, t.Margin.P95)
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, " \tmeasure\tmeasured\ttrue\terror\tU\t")
	t.line(tw, "insertion_axis (angle)", "°", t.Axis)
	for i, v := range t.Values {
		t.line(tw, gauges[i].name, gauges[i].unit, v)
	}
	return tw.Flush()
}

func (t Trial) line(w io.Writer, name, unit string, r reading) {
	if math.IsNaN(r.truth) {
		fmt.Fprintf(w, " \t%s\t\tnone\t\t\t%s\n", name, unit)
		return
	}
	if !r.made {
		fmt.Fprintf(w, " \t%s\tnot measured\t%.3f\t\t\t%s\n", name, r.truth, unit)
		return
	}
	mark := " "
	d := r.sample.measured - r.truth
	if d > r.u || d < -r.u {
		mark = "!"
	}
	fmt.Fprintf(w, "%s\t%s\t%.3f\t%.3f\t%+.3f\t%.3f\t%s\n", mark, name, r.sample.measured, r.truth, d, r.u, unit)
}

func codes(list []finding.Code) string {
	if len(list) == 0 {
		return "nothing"
	}
	s := make([]string, len(list))
	for i, c := range list {
		s[i] = string(c)
	}
	return strings.Join(s, ", ")
}
