package study

import (
	"math"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/measure"
	"selvage/phantom"
)

// gauge ties one scalar of the report to its truth.
type gauge struct {
	name  string // as in the report
	unit  string
	truth func(phantom.Restoration) float64
	value func(casefile.Measures) casefile.Measure
}

// gauges are the scalars that the study holds against the truth, in the order of
// the report.
var gauges = []gauge{
	{"convergence_mesiodistal_deg", "°", func(r phantom.Restoration) float64 { return r.ConvergenceMDDeg }, func(m casefile.Measures) casefile.Measure { return m.ConvergenceMD }},
	{"convergence_buccolingual_deg", "°", func(r phantom.Restoration) float64 { return r.ConvergenceBLDeg }, func(m casefile.Measures) casefile.Measure { return m.ConvergenceBL }},
	{"convergence_mean_deg", "°", func(r phantom.Restoration) float64 { return r.ConvergenceMeanDeg }, func(m casefile.Measures) casefile.Measure { return m.ConvergenceMean }},
	{"wall_height_min_mm", "mm", func(r phantom.Restoration) float64 { return r.WallHeightMinMm }, func(m casefile.Measures) casefile.Measure { return m.WallHeightMin }},
	{"height_to_base", "", func(r phantom.Restoration) float64 { return r.HeightToBase }, func(m casefile.Measures) casefile.Measure { return m.HeightToBase }},
	{"resistance", "", func(r phantom.Restoration) float64 { return r.Resistance }, func(m casefile.Measures) casefile.Measure { return m.Resistance }},
	{"undercut_depth_max_mm", "mm", func(r phantom.Restoration) float64 { return r.UndercutDepthMm.Value }, func(m casefile.Measures) casefile.Measure { return m.UndercutDepth }},
	{"undercut_area_mm2", "mm²", func(r phantom.Restoration) float64 { return r.UndercutAreaMm2 }, func(m casefile.Measures) casefile.Measure { return m.UndercutArea }},
	{"edge_radius_min_mm", "mm", func(r phantom.Restoration) float64 { return r.EdgeRadiusMm }, func(m casefile.Measures) casefile.Measure { return m.SharpEdge }},
	{"clearance_min_mm", "mm", func(r phantom.Restoration) float64 { return r.ClearanceMinMm.Value }, func(m casefile.Measures) casefile.Measure { return m.ClearanceMin }},
	{"clearance_patch_min_mm", "mm", func(r phantom.Restoration) float64 { return r.ClearancePatchMinMm.Value }, func(m casefile.Measures) casefile.Measure { return m.ClearancePatch }},
	{"clearance_functional_min_mm", "mm", func(r phantom.Restoration) float64 { return r.ClearanceFunctionalMm.Value }, func(m casefile.Measures) casefile.Measure { return m.ClearanceFunc }},
	{"reduction_occlusal_min_mm", "mm", func(r phantom.Restoration) float64 { return r.ReductionOcclusalMm.Value }, func(m casefile.Measures) casefile.Measure { return m.ReductionOccl }},
	{"reduction_axial_min_mm", "mm", func(r phantom.Restoration) float64 { return r.ReductionAxialMm.Value }, func(m casefile.Measures) casefile.Measure { return m.ReductionAxial }},
	{"finish_line_width_median_mm", "mm", func(r phantom.Restoration) float64 { return r.FinishLine.WidthMedianMm }, widthOf(func(f casefile.FinishLine) float64 { return f.WidthMedianMM })},
	{"finish_line_width_min_mm", "mm", func(r phantom.Restoration) float64 { return r.FinishLine.WidthMinMm }, widthOf(func(f casefile.FinishLine) float64 { return f.WidthMinMM })},
	{"margin_not_captured_mm", "mm", func(r phantom.Restoration) float64 { return r.Margin.NotCapturedMm }, lengthOf(func(m casefile.Margin) float64 { return m.NotCapturedMM })},
	{"margin_unclear_mm", "mm", func(r phantom.Restoration) float64 { return r.Margin.UnclearMm }, lengthOf(func(m casefile.Margin) float64 { return m.UnclearMM })},
}

// widthOf takes a width of the finish line as a measure.
func widthOf(pick func(casefile.FinishLine) float64) func(casefile.Measures) casefile.Measure {
	return func(m casefile.Measures) casefile.Measure {
		if m.FinishLine.Not != "" {
			return casefile.NotMeasured(m.FinishLine.Not)
		}
		return casefile.Of(measure.Of(pick(m.FinishLine), m.FinishLine.U, measure.MM))
	}
}

// lengthOf takes a length of the margin as a measure.
func lengthOf(pick func(casefile.Margin) float64) func(casefile.Measures) casefile.Measure {
	return func(m casefile.Measures) casefile.Measure {
		if m.Margin.Not != "" {
			return casefile.NotMeasured(m.Margin.Not)
		}
		return casefile.Of(measure.Of(pick(m.Margin), m.Margin.U, measure.MM))
	}
}

// border says where the limit of a finding lies and how surely the value behind
// it was known, to tell the cases in which no answer is wrong.
type border struct {
	code  finding.Code
	value func(phantom.Restoration, phantom.BiteTruth) float64
	u     func(casefile.Report, casefile.RestorationReport) (float64, bool)
	row   func(limit.Table, limit.Selector) []limit.Row
}

// rows looks a plain limit up.
func rows(id limit.ID) func(limit.Table, limit.Selector) []limit.Row {
	return func(t limit.Table, q limit.Selector) []limit.Row {
		r, ok := t.Find(id, q)
		if !ok {
			return nil
		}
		return []limit.Row{r}
	}
}

// zoned looks a limit up in each zone of the biting surface, since the truth does
// not say in which zone its least value lies.
func zoned(find func(limit.Table, limit.Selector) (limit.Row, bool)) func(limit.Table, limit.Selector) []limit.Row {
	return func(t limit.Table, q limit.Selector) []limit.Row {
		var out []limit.Row
		for _, z := range []limit.Zone{limit.Functional, limit.NonFunctional, limit.Fossa, limit.Incisal} {
			q.Zone = z
			if r, ok := find(t, q); ok {
				out = append(out, r)
			}
		}
		return out
	}
}

// uOf takes the uncertainty from a measure of the report.
func uOf(pick func(casefile.Measures) casefile.Measure) func(casefile.Report, casefile.RestorationReport) (float64, bool) {
	return func(_ casefile.Report, r casefile.RestorationReport) (float64, bool) {
		m := pick(r.Measures)
		return m.U, m.Measured()
	}
}

var borders = []border{
	{
		finding.ClearanceLow,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.ClearancePatchMinMm.Value },
		uOf(func(m casefile.Measures) casefile.Measure { return m.ClearancePatch }),
		zoned(limit.Table.Clearance),
	},
	{
		finding.ReductionLow,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.ReductionOcclusalMm.Value },
		uOf(func(m casefile.Measures) casefile.Measure { return m.ReductionOccl }),
		zoned(limit.Table.Minimum),
	},
	{
		finding.Undercut,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.UndercutDepthMm.Value },
		uOf(func(m casefile.Measures) casefile.Measure { return m.UndercutDepth }),
		rows(limit.UndercutDepth),
	},
	{
		finding.ConvergenceHigh,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.ConvergenceMeanDeg },
		uOf(func(m casefile.Measures) casefile.Measure { return m.ConvergenceMean }),
		rows(limit.ConvergenceHigh),
	},
	{
		finding.ConvergenceLow,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 {
			return math.Min(r.ConvergenceMDDeg, r.ConvergenceBLDeg)
		},
		uOf(func(m casefile.Measures) casefile.Measure { return m.ConvergenceMD }),
		rows(limit.ConvergenceLow),
	},
	{
		finding.WallsShort,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.WallHeightMinMm },
		uOf(func(m casefile.Measures) casefile.Measure { return m.WallHeightMin }),
		rows(limit.WallHeight),
	},
	{
		finding.WallsShort,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.HeightToBase },
		uOf(func(m casefile.Measures) casefile.Measure { return m.HeightToBase }),
		rows(limit.HeightToBase),
	},
	{
		finding.ResistanceLow,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.Resistance },
		uOf(func(m casefile.Measures) casefile.Measure { return m.Resistance }),
		rows(limit.Resistance),
	},
	{
		finding.SharpEdge,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.EdgeRadiusMm },
		uOf(func(m casefile.Measures) casefile.Measure { return m.SharpEdge }),
		rows(limit.SharpEdge),
	},
	{
		finding.FinishLineNarrow,
		func(r phantom.Restoration, _ phantom.BiteTruth) float64 { return r.FinishLine.WidthMinMm },
		func(_ casefile.Report, r casefile.RestorationReport) (float64, bool) {
			return r.Measures.FinishLine.U, r.Measures.FinishLine.Not == ""
		},
		zoned(limit.Table.Minimum),
	},
	{
		finding.BiteDiffers,
		func(_ phantom.Restoration, b phantom.BiteTruth) float64 { return b.ShiftMm },
		func(rep casefile.Report, _ casefile.RestorationReport) (float64, bool) {
			return rep.Bite.ShiftMM.U, rep.Bite.ShiftMM.Measured()
		},
		rows(limit.BiteShift),
	},
}

// closeness says to which levels of its limits a truth is too near to call.
type closeness struct{ flag, advise bool }

// closeTo reports whether the truth behind a finding lies within the stated
// uncertainty of one of its limits, so that neither answer is wrong.
func closeTo(code finding.Code, t phantom.Truth, rep casefile.Report, table limit.Table, q limit.Selector) closeness {
	var c closeness
	if len(t.Restorations) == 0 || len(rep.Restorations) == 0 {
		return c
	}
	for _, b := range borders {
		if b.code != code {
			continue
		}
		u, ok := b.u(rep, rep.Restorations[0])
		if !ok {
			continue
		}
		v := b.value(t.Restorations[0], t.Bite)
		for _, row := range b.row(table, q) {
			c.flag = c.flag || row.Flag.Set && math.Abs(v-row.Flag.V) <= u
			c.advise = c.advise || row.Advise.Set && math.Abs(v-row.Advise.V) <= u
		}
	}
	return c
}
