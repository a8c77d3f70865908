package workorder

import (
	"fmt"
	"slices"
	"strings"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/shade"
	"selvage/tooth"
)

// order prints the first sheet.
func (p *paper) order() error {
	p.AddPage()
	if err := p.head(); err != nil {
		return err
	}
	for i, r := range p.in.Order.Restorations {
		p.restoration(i, r)
	}
	p.dates()
	p.people()
	p.lacks()
	p.files()
	p.statements()
	p.signature()
	return p.Error()
}

// head prints title, order number, teeth and code.
func (p *paper) head() error {
	const code = 27
	c, top := p.in.Order, p.GetY()
	if err := p.code(p.right, top, code); err != nil {
		return err
	}
	room := p.right - p.left - code - 5
	p.SetXY(p.left, top)
	p.font("B", 15)
	p.CellFormat(room, p.line(15), p.title(), "", 1, "L", false, 0, "")
	p.font("B", 11)
	p.CellFormat(room, p.line(11), p.w.t("field.case")+" "+p.name(), "", 1, "L", false, 0, "")
	p.font("", 8)
	if p.in.Version > 0 {
		p.CellFormat(room, p.line(8), p.w.t("paper.version", itoa(p.in.Version)), "", 1, "L", false, 0, "")
	} else {
		p.font("B", 8)
		p.CellFormat(room, p.line(8), p.w.t("paper.draft"), "", 1, "L", false, 0, "")
	}
	patient := p.w.t("field.patient.reference") + " " + or(c.Patient.Reference, p.w.t("paper.not.stated"))
	if slices.Contains(p.rule.Asks(), prescription.PatientName) {
		patient += " · " + p.w.t("paper.patient.name") + " " + or(c.Patient.Name, p.w.t("paper.not.stated"))
	}
	p.font("", 9)
	p.CellFormat(room, p.line(10), patient, "", 1, "L", false, 0, "")
	p.SetY(max(p.GetY(), top+code) + 1.5)
	return nil
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// restoration prints what is to be made on one tooth: the numbers large, in all systems.
func (p *paper) restoration(i int, r casefile.Restoration) {
	n := r.Tooth.Number()
	names := casefile.NamesOf(n)
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.5)
	p.Line(p.left, p.GetY(), p.right, p.GetY())
	p.SetLineWidth(0.2)
	y := p.GetY() + 1.5
	x := p.left
	for k, s := range []pair{{"FDI (ISO 3950)", names.FDI}, {"Universal", names.Universal}, {"Palmer", names.Palmer}} {
		size := []float64{30, 24, 24}[k]
		p.SetXY(x, y)
		p.font("", 6.5)
		p.CellFormat(28, p.line(6.5), s.label, "", 2, "L", false, 0, "")
		p.SetX(x)
		p.font("B", size)
		p.CellFormat(28, p.line(30)*0.86, s.value, "", 0, "L", false, 0, "")
		x += 27
	}
	p.SetXY(x, y)
	p.font("B", 13)
	const text = 55
	p.CellFormat(text, p.line(13), p.w.or("kind.", string(r.Kind)), "", 2, "L", false, 0, "")
	p.SetX(x)
	p.font("B", 10)
	p.CellFormat(text, p.line(10), or(p.w.or("material.", string(r.Material)), p.w.t("paper.not.stated")), "", 2, "L", false, 0, "")
	p.SetX(x)
	p.font("", 8.5)
	p.CellFormat(text, p.line(8.5), p.w.t("quarter."+itoa(n.Quadrant()))+" "+p.w.t("tooth."+itoa(n.Position())), "", 2, "L", false, 0, "")
	below := max(p.GetY(), y+p.line(6.5)+p.line(30)*0.86) + 1
	if due := p.in.Order.Dates.Due; i == 0 && due != "" && !prescription.InHouse(p.in.Order) {
		p.SetXY(p.right-60, y)
		p.font("", 6.5)
		label := p.w.t("field.dates.due")
		if p.in.Order.Rush {
			label += " · " + p.w.t("field.rush")
		}
		p.CellFormat(60, p.line(6.5), label, "", 2, "R", false, 0, "")
		p.font("B", 14)
		p.CellFormat(60, p.line(14), p.day(due), "", 2, "R", false, 0, "")
	}
	p.SetY(below)
	if i == 0 {
		var all []tooth.Number
		for _, o := range p.in.Order.Restorations {
			all = append(all, o.Tooth.Number())
			for _, a := range o.Abutments {
				all = append(all, a.Number())
			}
		}
		p.chart(p.left, p.GetY(), p.right-p.left, all)
	}
	y2 := func(b *bool) string {
		if b == nil {
			return ""
		}
		return p.w.t(map[bool]string{true: "yes.yes", false: "yes.no"}[*b])
	}
	f := func(k string) string { return p.w.t("field." + k) }
	facial := ""
	if r.FacialMM != nil {
		facial = fmt.Sprintf("%g", *r.FacialMM)
	}
	p.heading(p.w.t("paper.what"))
	p.grid(4, said(
		pair{f("material"), p.w.or("material.", string(r.Material))}, pair{f("grade"), r.Grade},
		pair{f("finish_line"), p.w.or("finish.", string(r.FinishLine))}, pair{f("margin_depth"), p.w.or("depth.", string(r.MarginDepth))},
		pair{f("cement"), p.w.or("cement.", string(r.Cement))}, pair{f("made_by"), p.w.or("made.", string(r.MadeBy))},
		pair{f("if_space_short"), p.w.or("short.", string(r.IfSpaceShort))}, pair{f("facial_thickness_mm"), facial},
	))
	p.heading(p.w.t("paper.shade"))
	s := r.Shade
	shades := said(
		pair{f("shade.guide"), s.Guide}, pair{f("shade.body"), s.Body}, pair{f("shade.incisal"), s.Incisal}, pair{f("shade.cervical"), s.Cervical},
		pair{f("shade.stump"), s.Stump}, pair{f("shade.before_drying"), y2(s.BeforeDrying)},
		pair{f("shade.measured"), lab(s.Measured)}, pair{f("shade.stump_measured"), lab(s.StumpMeasured)},
	)
	if len(shades) == 0 {
		shades = []pair{{f("shade.body"), p.w.t("paper.not.stated")}}
	}
	p.grid(4, shades)
	p.grid(1, said(pair{f("shade.characterisation"), s.Character}))
	o := r.Occlusion
	p.heading(p.w.t("paper.bite"))
	p.grid(4, said(
		pair{f("contacts.mesial"), or(p.w.or("contact.", r.Contacts.Mesial), p.w.t("paper.not.stated"))},
		pair{f("contacts.distal"), or(p.w.or("contact.", r.Contacts.Distal), p.w.t("paper.not.stated"))},
		pair{f("occlusion.centric"), p.w.or("centric.", o.Centric)}, pair{f("occlusion.excursions"), p.w.or("excursions.", o.Excursions)},
		pair{f("occlusion.scheme"), p.w.or("scheme.", o.Scheme)}, pair{f("occlusion.opposing_material"), p.w.or("opposing.", o.OpposingMaterial)},
		pair{f("occlusion.bruxism"), y2(o.Bruxism)},
	))
	p.grid(1, said(pair{f("notes"), r.Notes}))
}

func lab(c *shade.Lab) string {
	if c == nil {
		return ""
	}
	return c.String()
}

// dates prints the days; the due date is what is looked for first.
func (p *paper) dates() {
	d, f := p.in.Order.Dates, func(k string) string { return p.w.t("field.dates." + k) }
	p.heading(p.w.t("paper.dates"))
	pairs := []pair{{f("written"), p.day(d.Written)}, {f("prepared"), p.day(d.Prepared)}, {f("due"), p.day(d.Due)}, {f("seat"), p.day(d.Seat)}}
	if p.in.Order.Rush {
		pairs = append(pairs, pair{p.w.t("field.rush"), p.w.t("yes.yes")})
	}
	if prescription.InHouse(p.in.Order) {
		pairs = said(pair{f("prepared"), d.Prepared}, pair{f("seat"), d.Seat})
	}
	p.grid(4, pairs)
}

// day adds the weekday to a date.
func (p *paper) day(s string) string {
	d, err := calendar.Parse(s)
	if err != nil {
		return or(s, p.w.t("paper.not.stated"))
	}
	return p.w.t("day."+itoa(int(d.Weekday()))) + " " + s
}

func (p *paper) people() {
	c, f := p.in.Order, func(k string) string { return p.w.t("field." + k) }
	not := p.w.t("paper.not.stated")
	p.heading(p.w.t("paper.people"))
	left := strings.Join(texts(c.Prescriber.Name, f("prescriber.licence")+" "+or(c.Prescriber.Licence, not), c.Prescriber.Address, c.Prescriber.Phone, c.Prescriber.Contact), "\n")
	right := strings.Join(texts(or(c.Laboratory.Name, not), licence(f("laboratory.licence"), c.Laboratory.Licence), c.Laboratory.Address, c.Laboratory.Phone), "\n")
	if prescription.InHouse(c) {
		right = p.w.t("made.in-house")
	}
	p.grid(2, []pair{{f("prescriber.name"), left}, {f("laboratory.name"), right}})
	var alerts []string
	for _, a := range prescription.AlertsAt(prescription.AtMaterial, c.Alerts) { // WHY only these: the others are no business of a laboratory
		alerts = append(alerts, p.w.t("alert."+string(a)))
	}
	p.grid(1, said(pair{p.w.t("paper.alerts"), strings.Join(alerts, ", ")}))
}

func licence(label, v string) string {
	if v == "" {
		return ""
	}
	return label + " " + v
}

// texts leaves out what is empty.
func texts(all ...string) []string {
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

// lacks prints what is missing and what was said about it.
func (p *paper) lacks() {
	if len(p.in.Missing) == 0 {
		return
	}
	p.heading(p.w.t("paper.missing"))
	var out []string
	for _, m := range p.in.Missing {
		s := p.w.t("field." + string(m.Field))
		if m.Tooth != 0 && len(p.in.Order.Restorations) > 1 {
			s = m.Tooth.String() + " " + s
		}
		out = append(out, s+": "+or(m.Said, p.w.t("paper.not.stated")))
	}
	p.sentence("", 8, strings.Join(out, "; ")+".")
}

// files prints the files that go along, each with its whole hash.
func (p *paper) files() {
	if len(p.in.Files) == 0 {
		return
	}
	p.heading(p.w.t("paper.files"))
	for _, f := range p.in.Files {
		p.need(p.line(7.5) + p.line(6))
		p.font("B", 7.5)
		p.SetX(p.left)
		p.CellFormat(62, p.line(7.5), p.fit(f.Name, 61), "", 0, "L", false, 0, "")
		p.font("", 7.5)
		p.CellFormat(34, p.line(7.5), p.fit(p.w.or("role.", string(f.Role)), 33), "", 0, "L", false, 0, "")
		p.SetFont("mono", "", 5*p.scale)
		p.CellFormat(0, p.line(7.5), "SHA-256 "+f.SHA256, "", 1, "L", false, 0, "")
	}
}

// fit shortens a text in its middle to a width in mm.
func (p *paper) fit(s string, w float64) string {
	r := []rune(s)
	for cut := 0; p.GetStringWidth(s) > w && cut < len(r)-4; cut++ {
		k := (len(r) - cut) / 2
		s = string(r[:k]) + "…" + string(r[len(r)-k:])
	}
	return s
}

// statements prints what was disinfected, and whether another workshop may help.
func (p *paper) statements() {
	c := p.in.Order
	if prescription.InHouse(c) {
		return
	}
	p.heading(p.w.t("paper.goods"))
	d := c.Disinfection
	text := p.w.t("paper.disinfect.blank")
	switch {
	case d.NothingSent != nil && *d.NothingSent:
		text = p.w.t("paper.nothing")
	case d.Stated():
		text = p.w.t("paper.disinfected", d.Agent, itoa(d.Minutes), or(d.On, "____"), d.By)
	}
	p.sentence("B", 8.5, text)
	p.sentence("", 8.5, p.w.t("field.subcontracting")+": "+or(p.w.or("sub.", string(c.Subcontract)), p.w.t("paper.not.stated")))
}

// signature prints who signed, or leaves a line for ink.
func (p *paper) signature() {
	h := p.line(9) + 3*p.line(8.5)
	if p.in.Signed != nil && p.rule.Ink {
		h += 2.5 * p.line(8.5)
	}
	p.need(h + 4)
	y := p.GetY() + 3
	p.SetLineWidth(0.5)
	p.Rect(p.left, y, p.right-p.left, h, "D")
	p.SetLineWidth(0.2)
	p.SetXY(p.left+2, y+1)
	if s := p.in.Signed; s != nil {
		p.font("B", 9)
		p.CellFormat(0, p.line(9), p.w.t("paper.signed", s.By, s.At.Format("2006-01-02 15:04 -07:00")), "", 2, "L", false, 0, "")
		p.font("", 8)
		p.CellFormat(0, p.line(8), p.w.t("paper.signed.what", itoa(p.in.Version)), "", 2, "L", false, 0, "")
		p.SetFont("mono", "", 6.5*p.scale)
		p.CellFormat(0, p.line(7), "SHA-256 "+p.in.Hash, "", 2, "L", false, 0, "")
		if p.rule.Ink { // WHY as well: the law of the place takes no other signature
			p.font("", 8.5)
			p.Ln(p.line(8.5))
			p.SetX(p.left + 2)
			p.CellFormat(0, p.line(8.5), p.w.t("paper.ink"), "", 2, "L", false, 0, "")
		}
	} else {
		p.font("B", 9)
		p.CellFormat(0, p.line(9), p.w.t("paper.unsigned"), "", 2, "L", false, 0, "")
		p.font("", 8.5)
		p.Ln(p.line(8.5) * 0.8)
		p.SetX(p.left + 2)
		p.CellFormat(0, p.line(8.5), p.w.t("paper.ink"), "", 2, "L", false, 0, "")
	}
	p.SetY(y + h + 1)
	if p.rule.Key != "" {
		p.sentence("", 6.5, p.w.t("paper.law", p.rule.Source))
	}
}
