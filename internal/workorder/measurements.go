package workorder

import (
	"fmt"
	"math"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
)

// measurements prints the check: the answer, every measure with its uncertainty or why it
// was not made, and what was found.
func (p *paper) measurements() {
	rep := p.in.Report
	if rep == nil {
		return
	}
	p.AddPage()
	p.font("B", 13)
	p.CellFormat(0, p.line(13), p.w.t("paper.measures"), "", 1, "L", false, 0, "")
	p.font("", 8)
	p.CellFormat(0, p.line(9), p.w.t("field.case")+" "+p.name()+" · "+p.w.t("verdict."+string(rep.Verdict))+" · Selvage "+rep.Program.Version+" · "+rep.Program.Limits, "", 1, "L", false, 0, "")
	p.sentence("B", 10, rep.Line)
	for _, r := range rep.Restorations {
		p.heading(r.Tooth.FDI + " (FDI) · " + r.Tooth.Universal + " (Universal) · " + r.Tooth.Palmer + " (Palmer)")
		p.table(r.Measures)
		p.findings(r.Findings)
	}
	if len(rep.Findings) > 0 {
		p.heading(p.w.t("paper.case"))
		p.findings(rep.Findings)
	}
	p.Ln(1)
	p.sentence("", 7, p.w.t("paper.u"))
}

// row is one measure of the sheet.
type row struct {
	key  string
	m    casefile.Measure
	unit string
}

// table prints the measures of one tooth in two columns.
func (p *paper) table(m casefile.Measures) {
	rows := []row{
		{"clearance", m.ClearancePatch, "mm"},
		{"clearance.functional", m.ClearanceFunc, "mm"},
		{"reduction.occlusal", m.ReductionOccl, "mm"},
		{"reduction.axial", m.ReductionAxial, "mm"},
		{"convergence", m.ConvergenceMean, "°"},
		{"convergence.md", m.ConvergenceMD, "°"},
		{"convergence.bl", m.ConvergenceBL, "°"},
		{"height", m.WallHeightMin, "mm"},
		{"height.base", m.HeightToBase, ""},
		{"resistance", m.Resistance, ""},
		{"undercut", m.UndercutDepth, "mm"},
		{"undercut.area", m.UndercutArea, "mm²"},
		{"gap.mesial", m.GapMesial, "mm"},
		{"gap.distal", m.GapDistal, "mm"},
		{"sulcus", m.SulcusMin, "mm"},
	}
	var pairs []pair
	for _, r := range rows {
		pairs = append(pairs, pair{p.w.t("measure." + r.key), p.value(r)})
	}
	pairs = append(pairs, pair{p.w.t("measure.margin"), p.marginText(m.Margin)}, pair{p.w.t("measure.finish"), p.finishText(m.FinishLine)})
	p.grid(3, pairs)
}

func (p *paper) marginText(g casefile.Margin) string {
	switch {
	case g.Not != "":
		return p.w.t("paper.not.measured", p.why(g.Not))
	case len(g.Points) == 0:
		return p.w.t("paper.not.stated")
	}
	return p.w.number(p.w.t("paper.margin", f1(g.LengthMM), f1(g.UnclearMM), f1(g.NotCapturedMM)))
}

func (p *paper) finishText(l casefile.FinishLine) string {
	switch {
	case l.Not != "":
		return p.w.t("paper.not.measured", p.why(l.Not))
	case l.Kind == "":
		return p.w.t("paper.not.stated")
	}
	return p.w.or("finish.", string(l.Kind)) + " " + p.w.number(p.w.t("paper.width", digits(l.WidthMinMM, l.U), digits(l.U, l.U)))
}

func (p *paper) value(r row) string {
	switch {
	case r.m.Not != "":
		return p.w.t("paper.not.measured", p.why(r.m.Not))
	case !r.m.Measured():
		return p.w.t("paper.not.stated")
	}
	return p.w.number(strings.TrimSpace(digits(r.m.Value, r.m.U) + " ± " + digits(r.m.U, r.m.U) + " " + r.unit))
}

// why says in the language why a measure was not made.
func (p *paper) why(english string) string {
	if s, ok := p.in.Reasons[english]; ok {
		return s
	}
	return english
}

// digits writes v to the digits that its uncertainty leaves standing: one of u, two where
// u begins with 1.
func digits(v, u float64) string {
	n := 2
	if u > 0 {
		e := math.Floor(math.Log10(u))
		n = int(-e)
		if u/math.Pow(10, e) < 2 {
			n++
		}
	}
	return fmt.Sprintf("%.*f", max(0, min(n, 3)), v)
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }

// findings prints what somebody should do, and what is worth knowing.
func (p *paper) findings(all []casefile.Finding) {
	for _, f := range all {
		if f.Action == finding.FillIn {
			continue // the first sheet says what is missing now
		}
		style := "B"
		if f.Action == finding.Note {
			style = ""
		}
		p.sentence(style, 8, "• "+f.Text)
	}
}

// pictures prints the drawn pictures behind the measurements, and the photographs behind
// them.
func (p *paper) pictures() error {
	if p.in.Report == nil && len(p.in.Pictures)+len(p.in.Photos) > 0 {
		p.AddPage()
	}
	if err := p.gallery("paper.pictures", "picture", p.in.Pictures); err != nil {
		return err
	}
	return p.gallery("paper.photos", "photo", p.in.Photos)
}

// gallery prints pictures under a heading, two in a row.
func (p *paper) gallery(heading, name string, all []Picture) error {
	if len(all) == 0 {
		return p.Error()
	}
	const gap, tall = 5.0, 62.0
	w := (p.right - p.left - gap) / 2
	for i := 0; i < len(all); i += 2 {
		two := all[i:min(i+2, len(all))]
		p.font("", 7)
		lines := 1
		for _, q := range two {
			lines = max(lines, len(p.SplitText(q.Caption, w)))
		}
		room := tall + float64(lines)*p.line(7) + 3
		if i == 0 { // WHY together: a heading at the foot of a sheet heads nothing
			p.need(room + p.line(9)*2)
			p.heading(p.w.t(heading))
		}
		p.need(room)
		y, below := p.GetY(), 0.0
		for k, q := range two {
			h, err := p.image(fmt.Sprintf("%s-%d", name, i+k), q, p.left+float64(k)*(w+gap), y, w, tall)
			if err != nil {
				return err
			}
			below = max(below, h)
		}
		for k, q := range two {
			p.font("", 7)
			p.SetXY(p.left+float64(k)*(w+gap), y+below+1)
			for _, l := range p.SplitText(q.Caption, w) {
				p.SetX(p.left + float64(k)*(w+gap))
				p.CellFormat(w, p.line(7), l, "", 2, "L", false, 0, "")
			}
		}
		p.SetY(y + below + float64(lines)*p.line(7) + 3)
	}
	return p.Error()
}
