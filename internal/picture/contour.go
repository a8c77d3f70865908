package picture

import (
	"math"

	"selvage/internal/picture/paint"
)

// contours draws lines of equal value over the mapped surfaces, with millimetres
// on them. A pixel lies on a line where its value is nearer to the level than
// the value changes over half the line's width; that keeps lines equally wide on
// steep and on flat ground.
func (c *canvas) contours(m *ValueMap) {
	onMap := groundOf(Paper) // a map is as pale on either ground, so its lines are dark
	v := c.values()
	w, h := c.w(), c.h()
	if m.Step > 0 {
		line := paint.NewMask(0, 0, float64(w), float64(h), w, h)
		c.trace(line, v, c.px(0.55), func(x float64) float64 {
			return m.nearLevel(x)
		}, m.Signed)
		line.Paint(c.img, onMap.ink, 0.75)
	}
	if !math.IsNaN(m.Limit) {
		line := paint.NewMask(0, 0, float64(w), float64(h), w, h)
		c.trace(line, v, c.px(1.3), func(float64) float64 { return m.Limit }, false)
		line.Grown(c.px(0.9), w, h).Paint(c.img, onMap.halo, 0.8)
		line.Paint(c.img, onMap.ink, 1)
	}
	c.levelLabels(m, v)
}

// nearLevel is the contour nearest to a value, NaN where the limit's own line runs
// so close that two lines would read as one.
func (m *ValueMap) nearLevel(x float64) float64 {
	k := math.Round(x/m.Step) * m.Step
	if math.Abs(k-m.Limit) < 0.4*m.Step {
		return math.NaN()
	}
	return k
}

// values returns the mapped value of each pixel, NaN where there is none.
func (c *canvas) values() []float64 {
	g := c.depth
	v := make([]float64, g.w*g.h)
	inBands(g.h, bandRows, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range g.w {
				v[y*g.w+x] = math.NaN()
				k, sx, sy := g.nearest(x, y)
				if k < 0 {
					continue
				}
				if hit := g.locate(g.id[k], sx, sy); hit.present && !hit.inside && hit.d.Values != nil {
					v[y*g.w+x] = hit.value()
				}
			}
		}
	})
	return v
}

// trace covers the pixels on the level that levelOf names for their value.
// Below zero, lines are broken where dashed is set.
func (c *canvas) trace(line *paint.Mask, v []float64, half float64, levelOf func(float64) float64, dashed bool) {
	w, h := c.w(), c.h()
	for y := 1; y < h-1; y++ {
		for x := 1; x < w-1; x++ {
			k := y*w + x
			gx, gy := (v[k+1]-v[k-1])/2, (v[k+w]-v[k-w])/2
			grad := math.Hypot(gx, gy)
			if !(grad > 0) { // no value here or beside, or flat
				continue
			}
			l := levelOf(v[k])
			d := math.Abs(v[k]-l) / grad
			if !(d < half+1) || dashed && l < 0 && (x+y)/int(c.px(5)+1)%2 == 0 {
				continue
			}
			line.Put(x, y, half+0.5-d)
		}
	}
}

// levelLabels writes each level's value once or twice on its line, where the
// line has room: far from edges of the mapped ground and from other words.
func (c *canvas) levelLabels(m *ValueMap, v []float64) {
	if !(m.Step > 0) {
		return
	}
	w, h := c.w(), c.h()
	lo := int(math.Ceil(m.Min / m.Step))
	hi := int(math.Floor(m.Max / m.Step))
	const most = 60 // levels: a map with more has the wrong step
	if hi-lo > most {
		return
	}
	stride := max(2, int(c.px(3)))
	levels := make([]float64, 0, most+2)
	if !math.IsNaN(m.Limit) {
		levels = append(levels, m.Limit)
	}
	for lev := lo; lev <= hi; lev++ {
		if l := m.nearLevel(float64(lev) * m.Step); !math.IsNaN(l) {
			levels = append(levels, l)
		}
	}
	for _, level := range levels {
		text := m.level(level)
		placed := 0
		for y := stride; y < h-stride && placed < 2; y += stride {
			for x := stride; x < w-stride && placed < 2; x += stride {
				if !crosses(v, w, x, y, stride, level) || crowded(v, w, x, y, m.Step/c.px(labelRoom)) {
					continue
				}
				b := c.wordBox(text, float64(x), float64(y), smallSize)
				wide := box{b.x0 - c.px(30), b.y0 - c.px(22), b.x1 + c.px(30), b.y1 + c.px(22)}
				if dx, dy := c.inside(b); dx != 0 || dy != 0 || !c.free(wide) || !mapped(v, w, h, b) {
					continue
				}
				c.words(text, float64(x), float64(y), smallSize)
				placed++
			}
		}
	}
}

// labelRoom in CSS pixels must lie between two lines for one to carry a number.
const labelRoom = 14

// crowded reports whether the value changes by more than most per pixel.
func crowded(v []float64, w, x, y int, most float64) bool {
	k := y*w + x
	return !(math.Hypot((v[k+1]-v[k-1])/2, (v[k+w]-v[k-w])/2) < most)
}

// crosses reports whether the level passes between (x, y) and a near neighbour.
func crosses(v []float64, w, x, y, stride int, level float64) bool {
	a, b, d := v[y*w+x], v[y*w+x+stride/2], v[(y+stride/2)*w+x]
	return (a < level) != (b < level) && !math.IsNaN(b) && !math.IsNaN(a) ||
		(a < level) != (d < level) && !math.IsNaN(d) && !math.IsNaN(a)
}

// mapped reports whether the corners and sides of a box lie on mapped ground.
func mapped(v []float64, w, h int, b box) bool {
	for _, fy := range [...]float64{0, 0.5, 1} {
		for _, fx := range [...]float64{0, 0.5, 1} {
			x, y := int(b.x0+fx*(b.x1-b.x0)), int(b.y0+fy*(b.y1-b.y0))
			if uint(x) >= uint(w) || uint(y) >= uint(h) || math.IsNaN(v[y*w+x]) {
				return false
			}
		}
	}
	return true
}
