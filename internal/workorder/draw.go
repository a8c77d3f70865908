package workorder

import (
	"bytes"
	"slices"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"github.com/skip2/go-qrcode"

	"selvage/internal/photo"
	"selvage/tooth"
)

// pair is a label with what it says.
type pair struct{ label, value string }

// said leaves out the pairs that say nothing.
func said(pairs ...pair) []pair {
	var out []pair
	for _, q := range pairs {
		if strings.TrimSpace(q.value) != "" {
			out = append(out, q)
		}
	}
	return out
}

// heading prints the name of a part with a rule below it.
func (p *paper) heading(text string) {
	p.need(p.line(9) + 2*p.line(8.5))
	p.Ln(p.line(4))
	p.font("B", 9)
	p.SetX(p.left)
	p.CellFormat(p.right-p.left, p.line(9), text, "B", 1, "L", false, 0, "")
	p.Ln(p.line(2))
}

// grid prints pairs in columns, row by row; a value that is long takes the lines it needs.
func (p *paper) grid(columns int, pairs []pair) {
	const gap = 4
	w := (p.right - p.left - gap*float64(columns-1)) / float64(columns)
	for len(pairs) > 0 {
		n := min(columns, len(pairs))
		row, height := pairs[:n], 0.0
		cells := make([][]string, n)
		p.font("B", 8.5)
		for i, q := range row {
			cells[i] = p.SplitText(q.value, w)
			height = max(height, p.line(6.5)+float64(len(cells[i]))*p.line(8.5))
		}
		p.need(height)
		y := p.GetY()
		for i, q := range row {
			x := p.left + float64(i)*(w+gap)
			p.SetXY(x, y)
			p.font("", 6.5)
			p.SetTextColor(60, 60, 60)
			p.CellFormat(w, p.line(6.5), q.label, "", 2, "L", false, 0, "")
			p.SetTextColor(0, 0, 0)
			p.font("B", 8.5)
			for _, text := range cells[i] {
				p.SetX(x)
				p.CellFormat(w, p.line(8.5), text, "", 2, "L", false, 0, "")
			}
		}
		p.SetY(y + height + p.line(1.5))
		pairs = pairs[n:]
	}
}

// sentence prints a text over the whole width.
func (p *paper) sentence(style string, size float64, text string) {
	p.font(style, size)
	for _, l := range p.SplitText(text, p.right-p.left) {
		p.need(p.line(size))
		p.font(style, size)
		p.SetX(p.left)
		p.CellFormat(p.right-p.left, p.line(size), l, "", 1, "L", false, 0, "")
	}
}

// code draws the two-dimensional code with its upper right corner at x, y.
func (p *paper) code(x, y, side float64) error {
	q, err := qrcode.New(p.in.Code(), qrcode.Medium)
	if err != nil {
		return err
	}
	q.DisableBorder = true
	bits := q.Bitmap()
	cell := side / float64(len(bits))
	p.SetFillColor(0, 0, 0)
	for i, row := range bits {
		for j := 0; j < len(row); j++ {
			from := j
			for j < len(row) && row[j] {
				j++
			}
			if j > from {
				p.Rect(x-side+float64(from)*cell, y+float64(i)*cell, float64(j-from)*cell, cell, "F")
			}
		}
	}
	return nil
}

// chart draws the teeth as one sees the patient, those of the order filled.
func (p *paper) chart(x, y, w float64, chosen []tooth.Number) {
	cell := w / 16.6
	tall := 0.55 * cell
	p.SetLineWidth(0.2)
	for i := range 16 {
		for row, q := range [2][2]int{{1, 2}, {4, 3}} {
			n, at := tooth.Number(q[0]*10+8-i), x+float64(i)*cell
			if i >= 8 {
				n, at = tooth.Number(q[1]*10+i-7), at+0.6*cell
			}
			style := "D"
			p.SetFont("sans", "", 5.5)
			p.SetTextColor(0, 0, 0)
			if slices.Contains(chosen, n) {
				style = "F"
				p.SetFillColor(0, 0, 0)
				p.SetTextColor(255, 255, 255)
				p.SetFont("sans", "B", 6.5)
			}
			top := y + float64(row)*(tall+0.6)
			p.Rect(at, top, cell-0.4, tall, style)
			p.SetXY(at, top)
			p.CellFormat(cell-0.4, tall, n.String(), "", 0, "C", false, 0, "")
		}
	}
	p.SetTextColor(0, 0, 0)
	p.SetFont("sans", "", 6)
	p.SetXY(x, y+2*tall+1)
	p.CellFormat(w/2, 3, p.w.t("paper.right"), "", 0, "L", false, 0, "")
	p.CellFormat(w/2, 3, p.w.t("paper.left"), "", 1, "R", false, 0, "")
}

// ways are how a picture is turned and mirrored to stand upright, by its Exif orientation:
// degrees against the clock, and whether it is mirrored left to right before.
var ways = map[int]struct {
	turn   float64
	mirror bool
}{2: {0, true}, 3: {180, false}, 4: {180, true}, 5: {90, true}, 6: {270, false}, 7: {270, true}, 8: {90, false}}

// image prints a picture upright into a box, keeping its form, and returns its height.
func (p *paper) image(name string, q Picture, x, y, w, h float64) (float64, error) {
	o, data := fpdf.ImageOptions{ImageType: "PNG"}, q.PNG
	if len(q.JPEG) > 0 {
		o.ImageType, data = "JPG", q.JPEG
	}
	info := p.RegisterImageOptionsReader(name, o, bytes.NewReader(data))
	if err := p.Error(); err != nil {
		return 0, err
	}
	way := ways[photo.Turned(data)]
	wide, tall := info.Width(), info.Height()
	if way.turn == 90 || way.turn == 270 {
		wide, tall = tall, wide
	}
	k := min(w/wide, h/tall)
	cx, cy := x+w/2, y+k*tall/2
	p.TransformBegin()
	if way.turn != 0 {
		p.TransformRotate(way.turn, cx, cy)
	}
	if way.mirror {
		p.TransformMirrorHorizontal(cx)
	}
	p.ImageOptions(name, cx-k*info.Width()/2, cy-k*info.Height()/2, k*info.Width(), k*info.Height(), false, o, 0, "")
	p.TransformEnd()
	return k * tall, p.Error()
}
