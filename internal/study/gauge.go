package study

import (
	"selvage/internal/casefile"
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
	{"root_seen_min_mm", "mm", func(r phantom.Restoration) float64 { return r.Margin.RootSeenMm }, func(m casefile.Measures) casefile.Measure { return m.RootBelow }},
	{"sulcus_width_min_mm", "mm", func(r phantom.Restoration) float64 { return r.Margin.SulcusMm }, func(m casefile.Measures) casefile.Measure { return m.SulcusMin }},
	{"margin_roughness_um", "µm", func(r phantom.Restoration) float64 { return r.Margin.RoughnessUm }, func(m casefile.Measures) casefile.Measure { return m.MarginRough }},
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
