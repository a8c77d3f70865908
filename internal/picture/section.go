package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// Cut is the plane of a section and the axes of its drawing: U to the right, V
// up, both unit and square to each other.
type Cut struct {
	Origin r3.Vec // drawn in the middle
	U, V   r3.Vec
}

// Profile is a curve of a section in mm, in the drawing's axes (V up).
type Profile [][2]float64

// Profiles cuts a mesh by a plane and chains the pieces into curves, each with
// the solid on its left where the mesh winds outwards, in the order of their
// lowest face. A curve is closed when its first and last points are equal. A
// vertex exactly in the plane counts as in front of it, so that every crossing is
// that of an edge and each curve is whole. Cost: O(F).
func Profiles(m *mesh.Mesh, c Cut) []Profile {
	n := c.U.Cross(c.V)
	side := make([]float64, len(m.Pos))
	for i, p := range m.Pos {
		side[i] = n.Dot(p.Sub(c.Origin))
	}
	type key [2]mesh.VertexID
	type piece struct{ from, to key }
	var pieces []piece
	starts := map[key]int{} // looked up only, never walked
	for _, t := range m.Tri {
		var p piece
		found := 0
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			if (side[a] >= 0) == (side[b] >= 0) {
				continue
			}
			e := key{min(a, b), max(a, b)}
			if side[a] >= 0 {
				p.from = e
			} else {
				p.to = e
			}
			found++
		}
		if found == 2 {
			if _, taken := starts[p.from]; !taken {
				starts[p.from] = len(pieces)
			}
			pieces = append(pieces, p)
		}
	}
	point := func(e key) [2]float64 {
		a, b := side[e[0]], side[e[1]]
		q := m.Pos[e[0]].Lerp(m.Pos[e[1]], a/(a-b)).Sub(c.Origin)
		return [2]float64{c.U.Dot(q), c.V.Dot(q)}
	}
	ends := make(map[key]bool, len(pieces))
	for _, p := range pieces {
		ends[p.to] = true
	}
	used := make([]bool, len(pieces))
	var out []Profile
	walk := func(i int) {
		curve := Profile{point(pieces[i].from)}
		for !used[i] {
			used[i] = true
			curve = append(curve, point(pieces[i].to))
			next, ok := starts[pieces[i].to]
			if !ok {
				break
			}
			i = next
		}
		out = append(out, curve)
	}
	for i, p := range pieces { // open curves from their ends first, then the closed ones
		if !used[i] && !ends[p.from] {
			walk(i)
		}
	}
	for i := range pieces {
		if !used[i] {
			walk(i)
		}
	}
	return out
}

// SectionCurve is one mesh in a section drawing.
type SectionCurve struct {
	Mesh *mesh.Mesh
	Tint Tint
}

// Distance is a dimension in a section drawing.
type Distance struct {
	From, To r3.Vec
	Text     string
}

// Section draws profiles as an SVG of w x h CSS pixels that shows span mm across,
// on white, with a scale bar and dimensions. The text is set in the viewer's
// sans-serif; the drawing refers to nothing outside itself.
func Section(c Cut, span float64, w, h int, curves []SectionCurve, dims []Distance) []byte {
	k := float64(w) / span
	x := func(u float64) float64 { return float64(w)/2 + k*u }
	y := func(v float64) float64 { return float64(h)/2 - k*v }
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" font-family="sans-serif" font-size="14">`, w, h, w, h)
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#faf9f6"/>`, w, h)
	for _, cv := range curves {
		style := `stroke="#161a22" stroke-width="2.5"`
		switch cv.Tint {
		case Context:
			style = `stroke="#8a8f98" stroke-width="1.2"`
		case Opposing:
			style = `stroke="#4a6078" stroke-width="2.5" stroke-dasharray="9 3"`
		}
		fmt.Fprintf(&b, `<path fill="none" stroke-linejoin="round" %s d="`, style)
		for _, p := range Profiles(cv.Mesh, c) {
			writePath(&b, p, x, y, float64(w), float64(h))
		}
		b.WriteString(`"/>`)
	}
	for _, d := range dims {
		p, q := d.From.Sub(c.Origin), d.To.Sub(c.Origin)
		writeDimension(&b, x(c.U.Dot(p)), y(c.V.Dot(p)), x(c.U.Dot(q)), y(c.V.Dot(q)), d.Text)
	}
	mm := niceStep(barShare * span)
	fmt.Fprintf(&b, `<path d="M12 %d h%.2f m0 -5 v10 M12 %d v10" stroke="#161a22" stroke-width="2"/><text x="12" y="%d" fill="#161a22">%s mm</text></svg>`,
		h-14, mm*k, h-19, h-24, number(mm, 2))
	return b.Bytes()
}

// writePath writes the parts of a curve that lie near the drawing.
func writePath(b *bytes.Buffer, p Profile, x, y func(float64) float64, w, h float64) {
	pen := false
	for _, q := range p {
		px, py := x(q[0]), y(q[1])
		if px < -w || px > 2*w || py < -h || py > 2*h {
			pen = false
			continue
		}
		op := 'L'
		if !pen {
			op = 'M'
		}
		fmt.Fprintf(b, "%c%.1f %.1f", op, px, py)
		pen = true
	}
}

// writeDimension draws a line with a bar at both ends and its text beside it.
func writeDimension(b *bytes.Buffer, x0, y0, x1, y1 float64, text string) {
	l := math.Hypot(x1-x0, y1-y0)
	if l == 0 {
		return
	}
	nx, ny := -(y1-y0)/l*6, (x1-x0)/l*6
	fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1f" stroke="#b04800" stroke-width="2.5" fill="none"/>`,
		x0, y0, x1, y1, x0-nx, y0-ny, x0+nx, y0+ny, x1-nx, y1-ny, x1+nx, y1+ny)
	fmt.Fprintf(b, `<text x="%.1f" y="%.1f" fill="#161a22" stroke="#faf9f6" stroke-width="4" paint-order="stroke" font-weight="bold">`, (x0+x1)/2+12, (y0+y1)/2+5)
	xmlEscape(b, text)
	b.WriteString(`</text>`)
}

// xmlEscape writes text so that it is inert in a drawing.
func xmlEscape(b *bytes.Buffer, s string) {
	if err := xml.EscapeText(b, []byte(s)); err != nil {
		panic("picture: writing to memory") // a bytes.Buffer does not fail
	}
}
