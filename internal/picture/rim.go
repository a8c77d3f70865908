package picture

import (
	"fmt"
	"math"
	"strconv"

	"selvage/internal/picture/paint"
)

// minInPlane is the least part of a direction that must lie in the picture for
// its word to stand at the rim: a direction nearly along the line of sight points
// nowhere in the picture. 0.5 is 30° out of the line of sight.
const minInPlane = 0.5

// rim writes the words where their directions leave the picture.
func (c *canvas) rim(words []RimWord) {
	w, h := float64(c.w()), float64(c.h())
	for _, r := range words {
		dx, dy, _ := c.proj.dir(r.Dir.UnitOr(r.Dir))
		l := math.Hypot(dx, dy)
		if l < minInPlane {
			continue
		}
		dx, dy = dx/l, dy/l
		t := math.Inf(1)
		if dx != 0 {
			t = min(t, w/2/math.Abs(dx))
		}
		if dy != 0 {
			t = min(t, h/2/math.Abs(dy))
		}
		for ; t > 0; t -= c.px(4) { // inwards from the edge to the first free place
			x, y := w/2+t*dx, h/2+t*dy
			mx, my := c.inside(c.wordBox(r.Word, x, y, textSize))
			if c.free(c.wordBox(r.Word, x+mx, y+my, textSize)) {
				c.words(r.Word, x+mx, y+my, textSize)
				break
			}
		}
	}
}

// barShare is the greatest part of the picture's width that the scale bar takes.
const barShare = 0.22

// scaleBar draws a bar of a round number of mm in the lower left corner.
func (c *canvas) scaleBar() {
	mm := niceStep(barShare * float64(c.w()) / c.proj.perMM)
	l := mm * c.proj.perMM
	x, y := c.px(edgeGap+3), float64(c.h())-c.px(edgeGap+4)
	tick := c.px(4)
	c.ink(box{x, y - tick, x + l, y + tick}, c.px(4), func(m *paint.Mask, more float64) {
		m.Stroke(x, y, x+l, y, c.px(1)+more)
		m.Stroke(x, y-tick, x, y+tick, c.px(1)+more)
		m.Stroke(x+l, y-tick, x+l, y+tick, c.px(1)+more)
	})
	s := number(mm, 2) + " mm"
	b := c.wordBox(s, 0, 0, smallSize)
	c.words(s, max(x+l/2, x+b.x1-c.px(textHalo)), y-tick+b.y0, smallSize)
	c.taken = append(c.taken, box{x, y - tick, x + l, y + tick})
}

// number writes v with at most digits decimals and no trailing zeros.
func number(v float64, digits int) string {
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if digits == 0 {
		return s
	}
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// level writes a contour's value.
func (m *ValueMap) level(v float64) string {
	digits := 1
	if m.Step > 0 && m.Step < 0.1 {
		digits = 2
	}
	if m.Signed && v != 0 {
		return fmt.Sprintf("%+.*f", digits, v)
	}
	return fmt.Sprintf("%.*f", digits, v)
}

// legend draws the map's bar with its numbers at the right edge.
func (c *canvas) legend(m *ValueMap) {
	bw, bh := c.px(14), 0.46*float64(c.h())
	x1 := float64(c.w()) - c.px(edgeGap+38)
	y0 := (float64(c.h()) - bh) / 2
	title := c.wordBox(m.Title, 0, 0, smallSize)
	room := box{min(x1-bw-c.px(8), float64(c.w())-c.px(edgeGap+6)-2*title.x1), y0 - c.px(34), float64(c.w()) - c.px(4), y0 + bh + c.px(14)}
	plate := paint.NewMask(room.x0, room.y0, room.x1, room.y1, c.w(), c.h())
	plate.Box(room.x0, room.y0, room.x1, room.y1, c.px(5))
	plate.Paint(c.img, c.ground.halo, 0.86)
	defer func() { c.taken = append(c.taken, room) }()
	for y := int(y0); y < int(y0+bh); y++ {
		t := 1 - (float64(y)+0.5-y0)/bh
		col := m.Ramp.At(t).RGB()
		for x := int(x1 - bw); x < int(x1); x++ {
			paint.Blend(c.img, x, y, col, 255)
		}
	}
	frame := paint.NewMask(x1-bw-2, y0-2, x1+2, y0+bh+2, c.w(), c.h())
	for _, s := range [...][4]float64{{x1 - bw, y0, x1, y0}, {x1 - bw, y0 + bh, x1, y0 + bh}, {x1 - bw, y0, x1 - bw, y0 + bh}, {x1, y0, x1, y0 + bh}} {
		frame.Stroke(s[0], s[1], s[2], s[3], c.px(0.5))
	}
	frame.Paint(c.img, c.ground.ink, 1)
	c.words(m.Title, (room.x0+room.x1)/2, y0-c.px(18), smallSize)
	for _, v := range m.ticks() {
		y := y0 + bh*(1-m.place(v))
		isLimit := v == m.Limit
		thick := 0.8
		if isLimit {
			thick = 1.8
		}
		c.ink(box{x1 - bw, y, x1 + c.px(4), y}, c.px(4), func(k *paint.Mask, more float64) {
			if isLimit {
				k.Stroke(x1-bw-c.px(4), y, x1+c.px(4), y, c.px(thick)+more)
			} else {
				k.Stroke(x1, y, x1+c.px(4), y, c.px(thick)+more/2)
			}
		})
		s := m.level(v)
		tb := c.wordBox(s, 0, 0, smallSize)
		c.words(s, x1+c.px(6)+tb.x1, y, smallSize)
	}
}

// ticks lists the levels to name beside the bar: every step, or every second,
// fifth … where they would crowd, and the limit in any case.
func (m *ValueMap) ticks() []float64 {
	step := m.Step
	if !(step > 0) {
		step = niceStep((m.Max - m.Min) / 4)
	}
	const most = 9
	every := 1
	for (m.Max-m.Min)/step/float64(every) > most {
		every++
	}
	var out []float64
	hasLimit := !math.IsNaN(m.Limit) && m.Limit >= m.Min && m.Limit <= m.Max
	for k := int(math.Ceil(m.Min/step - 1e-9)); float64(k)*step <= m.Max+1e-9*step; k++ {
		v := float64(k) * step
		if k%every != 0 || hasLimit && math.Abs(v-m.Limit) < 0.6*step*float64(every) {
			continue
		}
		out = append(out, v)
	}
	if hasLimit {
		out = append(out, m.Limit)
	}
	return out
}
