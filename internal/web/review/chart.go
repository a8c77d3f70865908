package review

import (
	"fmt"
	"html"
	"html/template"
	"strings"

	"selvage/internal/web/page"
	"selvage/quality"
)

// drawing is an SVG being written. Its colours are the page's, by class; what differs
// differs by shape, too.
type drawing struct {
	strings.Builder
	w, h float64
}

// begin starts a drawing of w x h with what it shows as one sentence.
func begin(w, h float64, class, label string) *drawing {
	d := &drawing{w: w, h: h}
	if label == "" {
		d.put(`<svg class="%s" viewBox="0 0 %g %g" preserveAspectRatio="xMinYMid" aria-hidden="true" focusable="false">`, class, w, h)
		return d
	}
	d.put(`<svg class="%s" viewBox="0 0 %g %g" role="img" aria-label="%s">`, class, w, h, html.EscapeString(label))
	return d
}

func (d *drawing) put(format string, args ...any) { fmt.Fprintf(d, format, args...) }

func (d *drawing) end() template.HTML {
	d.put("</svg>")
	return template.HTML(d.String()) // made of numbers and escaped words
}

func (d *drawing) text(x, y float64, class, s string) {
	d.put(`<text x="%.1f" y="%.1f" class="%s">%s</text>`, x, y, class, html.EscapeString(s))
}

func (d *drawing) line(class string, points [][2]float64) {
	d.put(`<polyline class="%s" points="`, class)
	for i, p := range points {
		if i > 0 {
			d.put(" ")
		}
		d.put("%.1f,%.1f", p[0], p[1])
	}
	d.put(`"/>`)
}

// Bar draws the interval of a share from 0 to 1 as a bar, with a tick at the share itself
// where it is counted from many. Of too few there is nothing to draw.
func Bar(r quality.Rate) template.HTML {
	if r.Small() {
		return ""
	}
	const w, h = 200, 24
	d := begin(w, h, "bar", "")
	d.put(`<rect class="road" x="0" y="10" width="%d" height="4"/>`, w)
	d.put(`<rect class="span" x="%.1f" y="5" width="%.1f" height="14" rx="3"/>`, w*r.Low, max(2, w*(r.High-r.Low)))
	if r.Of >= quality.Many {
		d.put(`<rect class="tick" x="%.1f" y="0" width="3" height="%d"/>`, w*r.Share-1.5, h)
	}
	return d.end()
}

// plot is the frame of a chart: from data to the drawing.
type plot struct {
	*drawing
	x0, y0, x1, y1 float64 // of the drawing
	xMax           float64
	yMin, yMax     float64
}

func (p plot) at(x, y float64) [2]float64 {
	return [2]float64{p.x0 + (p.x1-p.x0)*x/p.xMax, p.y1 - (p.y1-p.y0)*(y-p.yMin)/(p.yMax-p.yMin)}
}

// chart begins a chart with its axes; ticks of y are drawn where they are given.
func chart(label, xName, yName string, xMax, yMin, yMax float64, ticks []float64, write func(float64) string) plot {
	p := plot{drawing: begin(720, 400, "chart", label), x0: 74, y0: 40, x1: 700, y1: 350, xMax: xMax, yMin: yMin, yMax: yMax}
	for _, t := range ticks {
		a := p.at(0, t)
		p.put(`<line class="grid" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, p.x0, a[1], p.x1, a[1])
		p.text(p.x0-10, a[1]+5, "tick-y", write(t))
	}
	p.put(`<polyline class="axis" points="%.1f,%.1f %.1f,%.1f %.1f,%.1f"/>`, p.x0, p.y0, p.x0, p.y1, p.x1, p.y1)
	p.text(p.x0, p.y0-16, "name", yName)
	p.text(p.x1, p.y1+40, "name end", xName)
	for _, x := range round(xMax) {
		a := p.at(x, yMin)
		p.text(a[0], p.y1+20, "tick-x", fmt.Sprintf("%g", x))
	}
	return p
}

// round are three or four round numbers up to a number.
func round(most float64) []float64 {
	step := 1.0
	for most/step > 5 {
		switch {
		case most/(2*step) <= 5:
			step *= 2
		case most/(5*step) <= 5:
			step *= 5
		default:
			step *= 10
		}
	}
	var out []float64
	for x := step; x <= most; x += step {
		out = append(out, x)
	}
	return out
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }

// FunnelChart draws groups by their size and their share of work that was right the first
// time, between the limits within which they differ by chance. A group outside the outer
// limits is a diamond, one outside the inner ones an open ring, the others discs; each
// carries its number in the list.
func FunnelChart(w page.Words, all quality.Rate, groups []Group) template.HTML {
	biggest, low := 20, 1.0
	for _, g := range groups {
		biggest = max(biggest, g.Right.Of)
		if !g.Right.Small() {
			low = min(low, g.Right.Share)
		}
	}
	low = min(low, quality.Funnel(all.Share, quality.Few, quality.Inner).Low)
	low = min(float64(int(low*5))/5, 0.8) // where all is right, too, there is a height to draw in
	var ticks []float64
	for t := low; t <= 1.0001; t += 0.2 {
		ticks = append(ticks, t)
	}
	p := chart(w.T("funnel.alt", all.Of, len(groups)), w.T("funnel.x"), w.T("right.share"), float64(biggest)*1.06, low, 1, ticks, percent)
	for _, l := range []struct {
		class string
		level float64
	}{{"inner", quality.Inner}, {"outer", quality.Outer}} {
		var up, down [][2]float64
		for n := quality.Few; n <= int(p.xMax); n += max(1, int(p.xMax)/120) {
			at := quality.Funnel(all.Share, n, l.level)
			up, down = append(up, p.at(float64(n), max(at.High, low))), append(down, p.at(float64(n), max(at.Low, low)))
		}
		p.line(l.class, up)
		p.line(l.class, down)
	}
	p.line("mean", [][2]float64{p.at(0, all.Share), p.at(p.xMax, all.Share)})
	for i, g := range groups {
		if g.Right.Small() {
			continue
		}
		at := p.at(float64(g.Right.Of), g.Right.Share)
		switch Stands(all, g) {
		case FarUp, FarDown:
			p.put(`<rect class="dot" x="-8" y="-8" width="16" height="16" transform="translate(%.1f %.1f) rotate(45)"/>`, at[0], at[1])
		case Up, Down:
			p.put(`<circle class="ring" cx="%.1f" cy="%.1f" r="7"/>`, at[0], at[1])
		case Few, Within:
			p.put(`<circle class="dot" cx="%.1f" cy="%.1f" r="6"/>`, at[0], at[1])
		}
		p.text(at[0]+12, at[1]-8, "mark", fmt.Sprint(i+1))
	}
	return p.end()
}

// Stand is where a group stands in the funnel of all.
type Stand string

// The stands: up is better than chance alone would have it, down is worse; far is outside
// the outer limits, else outside the inner ones.
const (
	Few     Stand = "few" // too small to be in the funnel
	Within  Stand = "within"
	Up      Stand = "inner-up"
	Down    Stand = "inner-down"
	FarUp   Stand = "outer-up"
	FarDown Stand = "outer-down"
)

// AllStands lists the stands.
func AllStands() []Stand { return []Stand{Few, Within, Up, Down, FarUp, FarDown} }

// Stands tells where a group stands in the funnel of all.
func Stands(all quality.Rate, g Group) Stand {
	if g.Right.Small() {
		return Few
	}
	side := func(level float64) int { return quality.Funnel(all.Share, g.Right.Of, level).Outside(g.Right.Share) }
	switch outer, inner := side(quality.Outer), side(quality.Inner); {
	case outer > 0:
		return FarUp
	case outer < 0:
		return FarDown
	case inner > 0:
		return Up
	case inner < 0:
		return Down
	}
	return Within
}

// SumChart draws a running sum with the line where it alarms; alarms are triangles.
func SumChart(w page.Words, c quality.CUSUM, points []quality.Point) template.HTML {
	top, alarms := c.H*1.25, 0
	for _, q := range points {
		top = max(top, q.S*1.1)
		if q.Alarm {
			alarms++
		}
	}
	p := chart(w.T("sum.alt", len(points), alarms), w.T("sum.x"), w.T("sum.y"), float64(len(points)), 0, top, nil, nil)
	p.line("outer", [][2]float64{p.at(0, c.H), p.at(p.xMax, c.H)})
	h := p.at(0, c.H)
	p.text(h[0]+8, h[1]-8, "name", w.T("sum.h"))
	line := [][2]float64{p.at(0, 0)}
	for i, q := range points {
		line = append(line, p.at(float64(i+1), q.S))
	}
	p.line("curve", line)
	for i, q := range points {
		if q.Alarm {
			at := p.at(float64(i+1), q.S)
			p.put(`<polygon class="dot" points="%.1f,%.1f %.1f,%.1f %.1f,%.1f"/>`, at[0], at[1]-10, at[0]-9, at[1]+6, at[0]+9, at[1]+6)
			p.text(at[0]-12, at[1]-12, "mark end", fmt.Sprint(i+1))
		}
	}
	return p.end()
}

// Step is one point of a growth curve: how much of it was right, 0 to 1.
type Step struct {
	Value float64
	Whole bool // all of it was right: drawn as a disc, else as a ring
}

// window is over how many cases a growth curve's line is the mean.
const window = 5

// GrowthChart draws one point for each case in their order and, from the fifth on, the mean
// of the last five.
func GrowthChart(label, xName, yName string, steps []Step) template.HTML {
	p := chart(label, xName, yName, float64(max(len(steps), 5))+0.5, 0, 1, []float64{0, 0.5, 1}, percent)
	var line [][2]float64
	for i := window; i <= len(steps); i++ {
		sum := 0.0
		for _, s := range steps[i-window : i] {
			sum += s.Value
		}
		line = append(line, p.at(float64(i), sum/window))
	}
	if len(line) > 1 {
		p.line("curve", line)
	}
	for i, s := range steps {
		at := p.at(float64(i+1), s.Value)
		class := "ring"
		if s.Whole {
			class = "dot"
		}
		p.put(`<circle class="%s" cx="%.1f" cy="%.1f" r="6"/>`, class, at[0], at[1])
	}
	return p.end()
}
