package exchange

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Scan is one scan on its way into a parcel, as it was exported.
type Scan struct {
	Name  string
	Role  finding.Role
	Units casefile.Units
	Data  []byte
}

// Contents is what a parcel is packed from. Order and Scans are needed.
type Contents struct {
	Order     casefile.Case
	Version   int    // of the prescription; 0: a draft
	Hash      string // of what it says
	Items     []Item // the scans, from [ScanItems]
	WorkOrder []byte // PDF
	Report    *casefile.Report
	Line      string // of the report, in the language; empty: as the report has it
	Page      []byte // the report as a page
	Pictures  []Picture
	Surfaces  []RoleSurface
	Buccal    r3.Vec // of the first restoration, for the views; zero: not known
	Made      time.Time
	Program   string
	Lang      string
}

// RoleSurface is a surface to draw, in the frame of its scan.
type RoleSurface struct {
	Role finding.Role
	Mesh *mesh.Mesh
}

// Teeth lists the prepared teeth of an order.
func Teeth(c casefile.Case) []tooth.Number {
	var out []tooth.Number
	for _, r := range c.Restorations {
		out = append(out, r.Tooth.Number())
	}
	return out
}

// ScanItems names the scans as they will lie in the parcel. scrub takes free text out of
// their headers; without it every byte stays as it was exported.
func ScanItems(teeth []tooth.Number, scans []Scan, scrub bool) []Item {
	var out []Item
	var taken []string
	for _, s := range scans {
		i := Item{Name: ScanName(Base(teeth), s.Role, s.Name, taken), What: WhatScan, Role: s.Role, Units: s.Units, Data: s.Data}
		if scrub && HeaderText(s.Data) != "" {
			i.Data, i.Original = Scrub(s.Data), sum(s.Data)
		}
		taken = append(taken, i.Name)
		out = append(out, i)
	}
	return out
}

// SHA256 returns the hash of an item's bytes, in hexadecimal.
func (i Item) SHA256() string { return sum(i.Data) }

// Pack makes a parcel.
func Pack(c Contents) (Parcel, error) {
	teeth := Teeth(c.Order)
	if len(teeth) == 0 {
		return Parcel{}, fmt.Errorf("nothing is prescribed yet")
	}
	p := Parcel{Case: c.Order.Name, Teeth: teeth, Made: c.Made, Program: c.Program, Version: c.Version, Order: c.Hash}
	base := Base(teeth)
	add := func(name, what string, data []byte) {
		if len(data) > 0 {
			p.Items = append(p.Items, Item{Name: name, What: what, Data: data})
		}
	}
	add(base+"_work-order.pdf", WhatOrder, c.WorkOrder)
	p.Items = append(p.Items, c.Items...)
	order, err := orderFile(c)
	if err != nil {
		return p, err
	}
	add("case.json", WhatCase, order)
	if c.Report != nil {
		if err := c.results(base, add); err != nil {
			return p, err
		}
	}
	for i, q := range c.Pictures {
		data, ext, _ := q.bytes()
		add(fmt.Sprintf("pictures/%s_%d%s", base, i+1, ext), WhatPicture, data)
	}
	view, err := c.view(teeth)
	if err != nil {
		return p, err
	}
	pages, err := p.Pages(view)
	p.Items = append(p.Items, pages...)
	return p, err
}

// orderFile is the prescription as a case.json beside the scans, so that they can be
// checked as they lie. The patient's name is left out: where the law wants it, it stands on
// the work order.
func orderFile(c Contents) ([]byte, error) {
	o := c.Order
	o.Patient.Name = ""
	o.Scans = nil
	var units casefile.Units
	for i, s := range c.Items {
		o.Scans = append(o.Scans, casefile.ScanFile{Role: s.Role, File: s.Name})
		if i == 0 || s.Units == units {
			units = s.Units
		} else {
			units = "" // files in several units are told apart by the check
		}
	}
	if o.Units == "" {
		o.Units = units
	}
	return o.Encode()
}

// geometry is the margin and the path of draw of each tooth, for other programs.
type geometry struct {
	Schema string          `json:"schema"`
	Units  casefile.Units  `json:"units"`
	Teeth  []geometryTooth `json:"teeth"`
}

type geometryTooth struct {
	Tooth  casefile.ToothNames  `json:"tooth"`
	File   string               `json:"file,omitempty"` // the scan in whose frame it is
	Axis   casefile.AxisMeasure `json:"insertion_axis"`
	Margin casefile.Margin      `json:"margin"`
}

func (c Contents) results(base string, add func(name, what string, data []byte)) error {
	rep, err := c.Report.Encode()
	if err != nil {
		return err
	}
	add(base+"_report.json", WhatReport, rep)
	add(base+"_report.html", WhatReport, c.Page)
	table, err := c.Report.MarginCSV()
	if err != nil {
		return err
	}
	add(base+"_margin.obj", WhatMargin, c.Report.MarginOBJ())
	add(base+"_margin.csv", WhatMargin, table)
	g := geometry{Schema: "selvage.geometry/1", Units: casefile.Millimetre}
	for _, r := range c.Report.Restorations {
		t := geometryTooth{Tooth: r.Tooth, Axis: r.Measures.InsertionAxis, Margin: r.Measures.Margin}
		if i := slices.IndexFunc(c.Items, func(i Item) bool { return i.Role == t.Margin.Scan && i.Role != "" }); i >= 0 {
			t.File = c.Items[i].Name
		}
		g.Teeth = append(g.Teeth, t)
	}
	data, err := json.MarshalIndent(g, "", "  ")
	add(base+"_geometry.json", WhatGeometry, append(data, '\n'))
	return err
}

// inks are the colours of surfaces that bring none.
var inks = map[finding.Role][3]float64{
	finding.RoleOpposing: {0.72, 0.8, 0.9}, finding.RoleBefore: {0.86, 0.84, 0.78}, finding.RoleBite: {0.8, 0.86, 0.8},
}

func (c Contents) view(teeth []tooth.Number) (View, error) {
	w, err := loadWords(c.Lang)
	if err != nil {
		return View{}, err
	}
	v := View{Lang: c.Lang, Title: c.Order.Name, Pictures: c.Pictures}
	for i, n := range teeth {
		if i > 0 {
			v.Teeth += " · "
		}
		t := casefile.NamesOf(n)
		v.Teeth += fmt.Sprintf("%s (FDI) · %s (Universal) · %s (Palmer)", t.FDI, t.Universal, t.Palmer)
	}
	toWorking := map[finding.Role]r3.Rigid{}
	if c.Report != nil {
		if v.Line = c.Line; v.Line == "" {
			v.Line = c.Report.Line
		}
		for _, s := range c.Report.Scans {
			if s.ToWorking != nil {
				toWorking[s.Role] = rigid(*s.ToWorking)
			}
		}
	}
	for i, s := range c.Surfaces {
		f := Surface{Name: w["view."+string(s.Role)], Mesh: s.Mesh, Ink: [3]float64{0.85, 0.85, 0.85}, On: i == 0}
		if ink, ok := inks[s.Role]; ok {
			f.Ink = ink
		}
		if m, ok := toWorking[s.Role]; ok {
			moved := *s.Mesh
			moved.Pos = slices.Clone(s.Mesh.Pos)
			for k := range moved.Pos {
				moved.Pos[k] = m.Point(moved.Pos[k])
			}
			f.Mesh = &moved
		}
		v.Surfaces = append(v.Surfaces, f)
	}
	c.lines(&v, w, toWorking)
	return v, nil
}

// lines adds margins, paths of draw, and where to look from.
func (c Contents) lines(v *View, w map[string]string, toWorking map[finding.Role]r3.Rigid) {
	if c.Report == nil {
		return
	}
	for i, r := range c.Report.Restorations {
		m, a := r.Measures.Margin, r.Measures.InsertionAxis
		move := func(p r3.Vec) r3.Vec {
			if t, ok := toWorking[m.Scan]; ok {
				return t.Point(p)
			}
			return p
		}
		var points [][3]float64
		var middle r3.Vec
		for _, p := range m.Points {
			q := move(r3.V(p[0], p[1], p[2]))
			points, middle = append(points, q.Array()), middle.Add(q.Scale(1/float64(len(m.Points))))
		}
		if len(points) > 0 {
			if m.Closed {
				points = append(points, points[0])
			}
			v.Lines = append(v.Lines, Line{Name: w["view.margin"], Points: points, Ink: [3]float64{0.05, 0.15, 0.55}})
		}
		if a.Not != "" || a.Value == ([3]float64{}) {
			continue
		}
		axis := r3.V(a.Value[0], a.Value[1], a.Value[2])
		if len(points) > 0 {
			v.Lines = append(v.Lines, Line{Name: w["view.axis"], Points: [][3]float64{middle.Array(), middle.Add(axis.Scale(12)).Array()}, Ink: [3]float64{0.6, 0.1, 0.1}})
		}
		if i == 0 {
			v.Views = viewsOf(axis, c.Buccal, w)
		}
	}
}

// viewsOf are the directions from which a prepared tooth is looked at.
func viewsOf(axis, buccal r3.Vec, w map[string]string) []Direction {
	up, known := buccal.Reject(axis).Unit()
	if !known { // any direction across the axis
		return []Direction{{w["view.occlusal"], axis, axis.Cross(r3.V(1, 0, 0)).UnitOr(r3.V(0, 1, 0))}}
	}
	return []Direction{
		{w["view.occlusal"], axis, up}, {w["view.buccal"], up, axis}, {w["view.lingual"], up.Neg(), axis}, {w["view.mesial"], up.Cross(axis), axis},
	}
}

func rigid(t casefile.Transform) r3.Rigid {
	m := t.Rows
	return r3.Rigid{
		R: r3.Mat{r3.V(m[0][0], m[0][1], m[0][2]), r3.V(m[1][0], m[1][1], m[1][2]), r3.V(m[2][0], m[2][1], m[2][2])},
		T: r3.V(m[0][3], m[1][3], m[2][3]),
	}
}
