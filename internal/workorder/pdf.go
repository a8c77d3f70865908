package workorder

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"codeberg.org/go-fonts/dejavu/dejavusansmono"
	"codeberg.org/go-pdf/fpdf"

	"selvage/internal/prescription"
)

// margin is the white border of a sheet, mm.
const margin = 13

// PDF prints the work order: the order itself on one sheet, measurements and pictures on
// those that follow. Paper is letter under a rule of the United States, else A4.
func PDF(in Input) ([]byte, error) {
	w, err := loadWords(in.Lang)
	if err != nil {
		return nil, err
	}
	if len(in.Order.Restorations) == 0 {
		return nil, fmt.Errorf("a work order needs a restoration")
	}
	// WHY tried smaller: the order must stand on one sheet, however much was written.
	for _, scale := range []float64{1, 0.92, 0.84, 0.77, 0.7} {
		p := newPaper(in, w, scale)
		if err := p.order(); err != nil {
			return nil, err
		}
		if p.full && scale > 0.7 {
			continue
		}
		p.measurements()
		if err := p.pictures(); err != nil {
			return nil, err
		}
		return p.bytes()
	}
	panic("workorder: the last scale is always printed")
}

// paper is one document while it is printed.
type paper struct {
	*fpdf.Fpdf
	in            Input
	w             words
	rule          prescription.Rule
	scale         float64 // of the letters
	left, right   float64 // of what is printed, mm
	bottom        float64
	full          bool // something went beyond the first sheet
	width, height float64
}

func newPaper(in Input, w words, scale float64) *paper {
	size := "A4"
	if strings.HasPrefix(in.Order.Rule, "us") {
		size = "Letter"
	}
	p := &paper{Fpdf: fpdf.New("P", "mm", size, ""), in: in, w: w, scale: scale}
	p.rule, _ = prescription.RuleOf(in.Order.Rule)
	p.SetMargins(margin, margin, margin)
	p.SetCellMargin(0)
	p.SetAutoPageBreak(false, margin)
	p.SetCatalogSort(true)
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // WHY fixed: the same order gives the same bytes
	if in.Signed != nil {
		made = in.Signed.At.UTC()
	}
	p.SetCreationDate(made)
	p.SetModificationDate(made)
	p.SetTitle(p.title()+" "+in.Order.Name, true)
	p.SetCreator("Selvage "+in.Program, true)
	p.AddUTF8FontFromBytes("sans", "", dejavusans.TTF)
	p.AddUTF8FontFromBytes("sans", "B", dejavusansbold.TTF)
	p.AddUTF8FontFromBytes("mono", "", dejavusansmono.TTF)
	p.AliasNbPages("{pages}")
	p.width, p.height = p.GetPageSize()
	p.left, p.right, p.bottom = margin, p.width-margin, p.height-margin-5
	p.SetFooterFunc(p.footer)
	return p
}

// title is what the law wants the document to be called, or what it is.
func (p *paper) title() string {
	if p.rule.Title != "" {
		return p.rule.Title
	}
	return p.w.t("paper.title")
}

// footer stands on every sheet, so that a loose one finds its case.
func (p *paper) footer() {
	p.SetY(p.height - margin)
	p.font("", 7)
	p.SetTextColor(60, 60, 60)
	state := p.w.t("paper.draft")
	if p.in.Version > 0 {
		state = p.w.t("paper.version", itoa(p.in.Version))
	}
	parts := []string{fmt.Sprintf("%d / {pages}", p.PageNo()), p.w.t("field.case") + " " + p.name(), state, p.w.t("paper.caution")}
	p.CellFormat(p.right-p.left, 4, strings.Join(parts, " · "), "", 0, "L", false, 0, "")
	p.SetTextColor(0, 0, 0)
}

func (p *paper) name() string {
	if p.in.Order.Name == "" {
		return "—"
	}
	return p.in.Order.Name
}

func (p *paper) bytes() ([]byte, error) {
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return nil, fmt.Errorf("work order: %w", err)
	}
	return b.Bytes(), nil
}

// font sets letters of a size in points, scaled.
func (p *paper) font(style string, size float64) { p.SetFont("sans", style, size*p.scale) }

// line is the height of a line of letters of a size in points, mm.
func (p *paper) line(size float64) float64 { return size * p.scale * 0.3528 * 1.28 }

// need begins a new sheet where h mm do not fit on this one.
func (p *paper) need(h float64) {
	if p.GetY()+h > p.bottom {
		p.full = p.full || p.PageNo() == 1
		p.AddPage()
	}
}
