package study

import (
	"fmt"
	"slices"

	"selvage/phantom"
	"selvage/tooth"
)

// GroupRow says how right the main measures were over a part of the cases, so that a
// weakness of one kind of tooth or scan cannot hide in the mean.
type GroupRow struct {
	Name     string        `json:"name"`
	Cases    int           `json:"cases"`
	Margin   MarginSummary `json:"margin"`
	Kind     Rate          `json:"finish_line_kind"` // how often it was named rightly
	Measures []MeasureRow  `json:"measures"`         // as in the table of all cases
}

// group picks trials.
type group struct {
	name string
	in   func(t Trial) bool
}

// The targets are set for a noise of 10 µm and a spacing of 0.1 mm; "near" is what
// counts as such: within 2.5 µm and a fifth.
const (
	nearNoiseUm   = 2.5
	nearSpacingMm = 0.02
)

var groups = []group{
	{"all", func(Trial) bool { return true }},
	{"near 10 µm, 0.1 mm", func(t Trial) bool {
		return t.NoiseUm > 10-nearNoiseUm && t.NoiseUm < 10+nearNoiseUm && t.SpacingMm > 0.1-nearSpacingMm && t.SpacingMm < 0.1+nearSpacingMm
	}},
	{"front", func(t Trial) bool { return t.Class == tooth.Incisor || t.Class == tooth.Canine }},
	{"premolar", func(t Trial) bool { return t.Class == tooth.Premolar }},
	{"molar", func(t Trial) bool { return t.Class == tooth.Molar }},
	{"knife edge", finishedBy(phantom.KnifeEdge)},
	{"chamfer", finishedBy(phantom.Chamfer)},
	{"heavy chamfer", finishedBy(phantom.HeavyChamfer)},
	{"shoulder", finishedBy(phantom.Shoulder)},
	{"sloped shoulder", finishedBy(phantom.SlopedShoulder)},
	{"noise under 8 µm", func(t Trial) bool { return t.NoiseUm < 8 }},
	{"noise 8 to 13 µm", func(t Trial) bool { return t.NoiseUm >= 8 && t.NoiseUm < 13 }},
	{"noise over 13 µm", func(t Trial) bool { return t.NoiseUm >= 13 }},
	{"spacing under 0.08 mm", func(t Trial) bool { return t.SpacingMm < 0.08 }},
	{"spacing 0.08 to 0.12 mm", func(t Trial) bool { return t.SpacingMm >= 0.08 && t.SpacingMm < 0.12 }},
	{"spacing over 0.12 mm", func(t Trial) bool { return t.SpacingMm >= 0.12 }},
}

func finishedBy(f phantom.FinishLine) func(Trial) bool {
	return func(t Trial) bool { return t.Finish == f }
}

// groupRows sums each group up that has cases.
func groupRows(trials []Trial) []GroupRow {
	var out []GroupRow
	for _, g := range groups {
		var in []Trial
		right, named := 0, 0
		for _, t := range trials {
			if !measurable(t) || !g.in(t) {
				continue
			}
			in = append(in, t)
			if t.Kind != "" {
				named++
				if t.Kind == string(t.Finish) {
					right++
				}
			}
		}
		if len(in) > 0 {
			out = append(out, GroupRow{g.name, len(in), marginSummary(in), NewRate(right, named), measureRows(in)})
		}
	}
	return out
}

// column is one figure of the table of groups.
type column struct {
	head, measure string
	figure        func(Errors) float64
}

func rms(e Errors) float64 { return e.RMS }
func p95(e Errors) float64 { return e.P95 }

var columns = []column{
	{"axis 95th pct, °", axisName, p95},
	{"convergence MD RMS, °", "convergence_mesiodistal_deg", rms},
	{"convergence BL RMS, °", "convergence_buccolingual_deg", rms},
	{"wall height RMS, mm", "wall_height_min_mm", rms},
	{"reduction RMS, mm", "reduction_occlusal_min_mm", rms},
	{"undercut RMS, mm", "undercut_depth_max_mm", rms},
	{"clearance RMS, mm", "clearance_patch_min_mm", rms},
	{"clearance 95th pct, mm", "clearance_patch_min_mm", p95},
	{"width RMS, mm", "finish_line_width_median_mm", rms},
	{"not captured 95th pct, mm", "margin_not_captured_mm", p95},
	{"unclear 95th pct, mm", "margin_unclear_mm", p95},
}

func (r Result) groupTable() table {
	t := table{
		title: "By tooth, finish line and scan",
		head:  []string{"cases", "n", "margin mean, mm", "margin 95th pct, mm", "kind right"},
		note:  "The same errors over parts of the cases, those with faults included. Spacing and noise are those of the working scan near the tooth as it was made.",
	}
	for _, c := range columns {
		t.head = append(t.head, c.head)
	}
	for _, g := range r.Groups {
		cells := []string{g.Name, fmt.Sprint(g.Cases), "-", "-", g.Kind.String()}
		if g.Margin.Cases > 0 {
			cells[2], cells[3] = fmt.Sprintf("%.3f", g.Margin.Mean), fmt.Sprintf("%.3f", g.Margin.P95)
		}
		for _, c := range columns {
			i := slices.IndexFunc(g.Measures, func(m MeasureRow) bool { return m.Name == c.measure })
			if i < 0 || g.Measures[i].N == 0 {
				cells = append(cells, "-")
				continue
			}
			cells = append(cells, fmt.Sprintf("%.3f", c.figure(g.Measures[i].Errors)))
		}
		t.rows = append(t.rows, cells)
	}
	return t
}
