package report

import (
	"math"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/measure"
	"selvage/r3"
	"selvage/tooth"
)

// dot is a PNG of one grey pixel: the page's tests need bytes, not a picture.
var dot = []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU\x00\x00\x00\nIDATx\x9cch\x00\x00\x00\x82\x00\x81\x1d\xb5\x95\xd0\x00\x00\x00\x00IEND\xaeB`\x82")

func dotIn(slot string) Figure {
	return Figure{Slot: slot, MIME: "image/png", Data: dot, W: 560, H: 440, Alt: "Picture in " + slot + "."}
}

func ptr[T any](v T) *T { return &v }

func mm(v, u float64, at ...float64) casefile.Measure {
	m := measure.Of(v, u, measure.MM)
	if len(at) == 3 {
		m = m.At(measure.Place{At: r3.V(at[0], at[1], at[2]), Scan: "working"})
	}
	return casefile.Of(m)
}

// base is a report on an upper left first molar with every measure made.
func base() casefile.Report {
	m := casefile.Measures{
		InsertionAxis: casefile.AxisMeasure{Value: [3]float64{0.02, -0.05, 0.998}, UDeg: 0.4, Scan: finding.RoleWorking},
		ConvergenceMD: casefile.Of(measure.Of(14.2, 0.6, measure.Deg)), ConvergenceBL: casefile.Of(measure.Of(17.9, 0.7, measure.Deg)),
		ConvergenceMean: casefile.Of(measure.Of(16.0, 0.5, measure.Deg)),
		WallHeightMin:   mm(4.31, 0.05, 1, 2, 3), HeightToBase: casefile.Of(measure.Of(0.44, 0.01, measure.One)),
		Resistance: casefile.Of(measure.Of(0.56, 0.02, measure.One)), UndercutDepth: mm(0, 0.03),
		UndercutArea: casefile.Of(measure.Of(0, 0.1, measure.MM2)), PathOverlap: mm(-0.87, 0.07),
		FinishLine:   casefile.FinishLine{Kind: limit.HeavyChamfer, WidthMinMM: 0.84, WidthMedianMM: 1.02, U: 0.03},
		ClearanceMin: mm(1.62, 0.1, 4, 5, 6), ClearancePatch: mm(1.68, 0.1, 4, 5, 6), ClearanceFunc: mm(1.8, 0.1, 4, 5, 6),
		ClearanceAxial: mm(1.9, 0.1), ReductionOccl: mm(1.74, 0.05), ReductionAxial: mm(1.22, 0.05),
		SharpEdge: mm(0.52, 0.05), ToolThins: mm(0, 0.02), ToolRemoves: casefile.Of(measure.Of(0, 0.02, measure.MM3)), Coloured: casefile.NotMeasured("the scan holds no colours"), MarginRough: casefile.Of(measure.Of(12, 4, measure.Micro)), RootBelow: mm(0.62, 0.06),
		SulcusMin: mm(0.31, 0.06), SpacingAtMargin: mm(0.094, 0.0004),
		GapMesial: mm(1.4, 0.05, 0, 9, 0), GapDistal: mm(1.2, 0.05, 0, -9, 0),
		ClearanceMoving: casefile.NotMeasured("movement of the jaw is not measured in this version"),
	}
	for i := range 72 {
		a := 2 * math.Pi * float64(i) / 72
		m.Margin.Points = append(m.Margin.Points, [3]float64{5 * math.Cos(a), 4.6 * math.Sin(a), 0.3 * math.Cos(2*a)})
		m.Margin.Confidence = append(m.Margin.Confidence, 0.96)
	}
	m.Margin.Closed, m.Margin.LengthMM, m.Margin.U, m.Margin.Scan = true, 30.2, 0.2, finding.RoleWorking
	return casefile.Report{
		Schema: casefile.ReportSchema, Program: casefile.Program{Version: "0.1.0", Limits: limit.Default().Version()},
		Case: "demo-26", Stage: finding.Final, Verdict: finding.Clear, Line: "Nothing to scan again. For the dentist to review.",
		Scans: []casefile.Scan{
			{
				Role: finding.RoleWorking, File: "working.ply", SHA256: "1f0c9a6be7d1a2f35ce0c1f6a9cbe1a5c2a2f6f0f4f7e2a1f0c9a6be7d1a2f35", Triangles: 412345,
				Vertices: 207001, Units: "mm", Components: 3, OpenEdges: 1204, NoiseUM: ptr(11.2), SpacingMM: ptr(0.11),
			},
			{
				Role: finding.RoleOpposing, File: "opposing.stl", SHA256: "aa00", Triangles: 98765, Units: "mm", Flipped: true,
				ToWorking: &casefile.Transform{UMM: 0.04},
			},
		},
		Assumed:      []string{"The unit is mm."},
		Restorations: []casefile.RestorationReport{{Tooth: casefile.NamesOf(26), Measures: m}},
		Bite: casefile.BiteReport{
			ResidualUM: casefile.Of(measure.Of(24, 6, measure.Micro)), ShiftMM: mm(0.03, 0.02),
			PenetrationMM: mm(0.04, 0.02), Contacts: casefile.Count(9),
		},
	}
}

var fragments = casefile.Finding{
	Code: finding.Fragments, Action: finding.Note, Call: finding.Proven, Scan: finding.RoleWorking,
	Text: "Loose pieces: 29. They do not matter.", Advice: "Leave them.",
}

var marginGap = casefile.Finding{
	Code: finding.MarginNotCaptured, Action: finding.ScanAgain, Call: finding.Proven, Tooth: "26", Surface: tooth.Distal,
	Scan: finding.RoleWorking, At: &[3]float64{0, -4.6, -0.3}, Normal: &[3]float64{0, -1, 0}, Measured: ptr(2.3), Limit: ptr(0.5),
	Unit: "mm", U: ptr(0.1), Text: "The scan ends at the margin for 2.3 mm: distal margin.",
	Advice: "Dry and scan the distal margin again, with some root below the line. Hold the tip tilted by 35°, from the distobuccal side.",
	Source: "common practice", Approach: &casefile.Approach{Direction: [3]float64{0.3, -0.5, 0.8}, TiltDeg: 35, From: tooth.Distobuccal},
}

var thin = casefile.Finding{
	Code: finding.ClearanceLow, Action: finding.AskDentist, Call: finding.TooClose, Tooth: "26", Surface: tooth.Lingual,
	Scan: finding.RoleWorking, At: &[3]float64{1, 1, 4}, Measured: ptr(0.83), Limit: ptr(1.05), Unit: "mm", U: ptr(0.1),
	Text:   "The least room measured at the palatal cusp is 0.8 ± 0.1 mm. Your table asks for 1.05 mm or more.",
	Advice: "Compare with the mouth. The dentist can take more off there or choose another material.", Source: "maker's table",
}

func scanAgain() casefile.Report {
	r := base()
	r.Verdict, r.Line = finding.ScanAgainNow, "Scan again: distal margin"
	m := &r.Restorations[0].Measures.Margin
	m.NotCapturedMM = 2.3
	m.Stretches = []casefile.Stretch{{State: finding.NotCaptured, From: 51, To: 56, LengthMM: 2.3, Surface: tooth.Distal}}
	r.Restorations[0].Findings = []casefile.Finding{
		marginGap, thin,
		{Code: finding.WallsShort, Action: finding.Note, Call: finding.Advised, Tooth: "26", Text: "The lowest wall is short.", Advice: "Think of it when choosing the cement."},
	}
	r.Findings = []casefile.Finding{
		{Code: finding.PrescriptionIncomplete, Action: finding.FillIn, Text: "The prescription lacks: shade.", Advice: "Fill it in before you send the case.", Missing: []string{"shade"}},
		fragments,
	}
	return r
}

func askDentist() casefile.Report {
	r := base()
	r.Verdict, r.Line = finding.AskDentistFirst, "Get the dentist: 0.8 ± 0.1 mm at the palatal cusp"
	r.Restorations[0].Findings = []casefile.Finding{thin}
	return r
}

func notChecked() casefile.Report {
	r := base()
	r.Verdict, r.Line = finding.NotChecked, "Not checked: no opposing arch"
	why := casefile.NotMeasured("no opposing arch was scanned")
	m := &r.Restorations[0].Measures
	m.ClearanceMin, m.ClearancePatch, m.ClearanceFunc, m.ClearanceAxial = why, why, why, why
	r.Bite = casefile.BiteReport{ResidualUM: why, ShiftMM: why, PenetrationMM: why, Contacts: why}
	m.Margin = casefile.Margin{Not: "no edge could be told"}
	m.FinishLine = casefile.FinishLine{Not: "no edge could be told"}
	r.Findings = []casefile.Finding{{
		Code: finding.ScanMissing, Action: finding.ScanAgain, Call: finding.Proven, Scan: finding.RoleOpposing,
		Text: "There is no scan of the opposing arch.", Advice: "Scan the opposing teeth, or add their file.",
	}}
	return r
}

// input gives a report its limits, a material and all pictures.
func input(r casefile.Report) Input {
	t := limit.Default()
	in := Input{Report: r, Limits: &t, Case: &casefile.Case{Restorations: []casefile.Restoration{{Material: limit.LithiumDisilicate, Cement: limit.Adhesive}}}}
	for _, s := range []string{"overview-0", "clearance-0", "bite-0", "finding-1", "hold-1", "finding-2"} {
		in.Figures = append(in.Figures, dotIn(s))
	}
	return in
}

var cases = []struct {
	name string
	make func() casefile.Report
}{
	{"clear", base}, {"scan-again", scanAgain}, {"ask-dentist", askDentist}, {"not-checked", notChecked},
}
