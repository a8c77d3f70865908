package picture

import (
	"image"
	"math"

	"selvage/internal/picture/paint"
)

// canvas draws marks over a shaded picture.
type canvas struct {
	img    *image.RGBA
	depth  *gbuffer
	proj   projector
	ground ground
	type_  *paint.Typesetter
	dots   float64 // image pixels per CSS pixel
	taken  []box   // where words and marks stand already
}

type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool {
	return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1
}

func (c *canvas) w() int { return c.img.Rect.Dx() }
func (c *canvas) h() int { return c.img.Rect.Dy() }

// px turns CSS pixels into image pixels.
func (c *canvas) px(css float64) float64 { return css * c.dots }

const (
	haloWide  = 1.4 // CSS pixels of halo around lines
	textHalo  = 2.0 // and around words
	textSize  = 13.0
	smallSize = 11.5
	edgeGap   = 9.0 // CSS pixels between words and the picture's edge
)

// overlay draws everything that lies over the surfaces, in a fixed order: what
// belongs to the surface first, words last.
func (c *canvas) overlay(s Scene) {
	if s.Map != nil {
		c.contours(s.Map)
	}
	for _, l := range s.Lines {
		c.line(l)
	}
	for _, a := range s.Arcs {
		c.arc(a)
	}
	for _, a := range s.Angles {
		c.angle(a)
	}
	for _, a := range s.Arrows {
		c.arrow(a)
	}
	for _, p := range s.Pins { // rings first, so that no badge lies under one
		c.target(p)
	}
	if s.Map != nil {
		c.legend(s.Map)
	}
	if !s.NoScale {
		c.scaleBar()
	}
	c.rim(s.Rim)
	for _, p := range s.Pins {
		c.badge(p)
	}
}

// words draws s centred on (x, y) with a halo, and takes the place.
func (c *canvas) words(s string, x, y, size float64) {
	b := c.wordBox(s, x, y, size)
	m := paint.NewMask(b.x0, b.y0, b.x1, b.y1, c.w(), c.h())
	c.type_.Word(m, s, b.x0+c.px(textHalo), b.y1-c.px(textHalo)-0.24*c.px(size), c.px(size))
	m.Grown(c.px(textHalo), c.w(), c.h()).Paint(c.img, c.ground.halo, 0.92)
	m.Paint(c.img, c.ground.ink, 1)
	c.taken = append(c.taken, b)
}

// wordBox is the room that s needs when centred on (x, y), halo included.
func (c *canvas) wordBox(s string, x, y, size float64) box {
	w := c.type_.Width(s, c.px(size))/2 + c.px(textHalo)
	h := 0.62*c.px(size) + c.px(textHalo)
	return box{x - w, y - h, x + w, y + h}
}

// inside moves a box so that it lies within the picture with a gap.
func (c *canvas) inside(b box) (dx, dy float64) {
	g := c.px(edgeGap) - c.px(textHalo)
	dx = max(g-b.x0, 0) + min(float64(c.w())-g-b.x1, 0)
	dy = max(g-b.y0, 0) + min(float64(c.h())-g-b.y1, 0)
	return dx, dy
}

func (c *canvas) free(b box) bool {
	for _, t := range c.taken {
		if t.meets(b) {
			return false
		}
	}
	return true
}

// niceStep returns the largest of 1, 2, 5 x 10^k that is not above v.
func niceStep(v float64) float64 {
	e := math.Pow(10, math.Floor(math.Log10(v)))
	switch f := v / e; {
	case f >= 5:
		return 5 * e
	case f >= 2:
		return 2 * e
	default:
		return e
	}
}
