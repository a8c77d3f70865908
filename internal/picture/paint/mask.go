package paint

import (
	"image"
	"image/color"
	"math"
)

// Mask is how much of each pixel within a box an ink covers, 0..255. Strokes
// join by the greater cover, so that overlapping pieces of a line do not darken.
type Mask struct {
	x, y, w, h int
	a          []uint8
}

// NewMask returns an empty mask over the box, cut to the picture of size w x h.
func NewMask(x0, y0, x1, y1 float64, w, h int) *Mask {
	ix0, iy0 := clampInt(math.Floor(x0)-1, w), clampInt(math.Floor(y0)-1, h)
	ix1, iy1 := clampInt(math.Ceil(x1)+2, w), clampInt(math.Ceil(y1)+2, h)
	m := &Mask{x: ix0, y: iy0, w: max(0, ix1-ix0), h: max(0, iy1-iy0)}
	m.a = make([]uint8, m.w*m.h)
	return m
}

func clampInt(v float64, n int) int {
	if !(v > 0) {
		return 0
	}
	return int(min(v, float64(n)))
}

func (m *Mask) rect() image.Rectangle { return image.Rect(m.x, m.y, m.x+m.w, m.y+m.h) }

// Put raises the cover of a pixel to c (0..1).
func (m *Mask) Put(x, y int, c float64) {
	if c <= 0 || uint(x-m.x) >= uint(m.w) || uint(y-m.y) >= uint(m.h) {
		return
	}
	k := (y-m.y)*m.w + x - m.x
	m.a[k] = max(m.a[k], uint8(min(c, 1)*255+0.5))
}

// Stroke covers everything within r pixels of the segment, ends round.
func (m *Mask) Stroke(x0, y0, x1, y1, r float64) {
	m.each(min(x0, x1)-r, min(y0, y1)-r, max(x0, x1)+r, max(y0, y1)+r, func(x, y int, px, py float64) {
		m.Put(x, y, r+0.5-segmentDist(px, py, x0, y0, x1, y1))
	})
}

// Disc covers a filled circle.
func (m *Mask) Disc(cx, cy, r float64) { m.Stroke(cx, cy, cx, cy, r) }

// Ring covers a circle line of half-width hw between the angles a0 and a1
// (radians, clockwise from the right); a1-a0 of 2π or more is the whole circle.
func (m *Mask) Ring(cx, cy, r, hw, a0, a1 float64) {
	m.each(cx-r-hw, cy-r-hw, cx+r+hw, cy+r+hw, func(x, y int, px, py float64) {
		a := math.Mod(math.Atan2(py-cy, px-cx)-a0+4*math.Pi, 2*math.Pi)
		if a <= a1-a0 {
			m.Put(x, y, hw+0.5-math.Abs(math.Hypot(px-cx, py-cy)-r))
		}
	})
}

// Box covers a rectangle with corners rounded by r.
func (m *Mask) Box(x0, y0, x1, y1, r float64) {
	m.each(x0, y0, x1, y1, func(x, y int, px, py float64) {
		dx := max(x0+r-px, 0, px-(x1-r))
		dy := max(y0+r-py, 0, py-(y1-r))
		m.Put(x, y, r+0.5-math.Hypot(dx, dy))
	})
}

// Polygon covers the inside of a closed outline (even-odd), edges softened over
// one pixel.
func (m *Mask) Polygon(xs, ys []float64) {
	if len(xs) < 3 {
		return
	}
	for y := m.y; y < m.y+m.h; y++ {
		for x := m.x; x < m.x+m.w; x++ {
			px, py := float64(x)+0.5, float64(y)+0.5
			in, d := false, math.Inf(1)
			for i, j := 0, len(xs)-1; i < len(xs); j, i = i, i+1 {
				if (ys[i] > py) != (ys[j] > py) && px < xs[i]+(xs[j]-xs[i])*(py-ys[i])/(ys[j]-ys[i]) {
					in = !in
				}
				d = min(d, segmentDist(px, py, xs[i], ys[i], xs[j], ys[j]))
			}
			if !in {
				d = -d
			}
			m.Put(x, y, d+0.5)
		}
	}
}

// each visits the pixels of a box that the mask holds, with their centres.
func (m *Mask) each(x0, y0, x1, y1 float64, f func(x, y int, px, py float64)) {
	ix0, iy0 := max(m.x, int(math.Floor(x0))-1), max(m.y, int(math.Floor(y0))-1)
	ix1, iy1 := min(m.x+m.w-1, int(math.Ceil(x1))+1), min(m.y+m.h-1, int(math.Ceil(y1))+1)
	for y := iy0; y <= iy1; y++ {
		for x := ix0; x <= ix1; x++ {
			f(x, y, float64(x)+0.5, float64(y)+0.5)
		}
	}
}

// Grown returns the mask widened by r pixels all round: the halo of what it holds.
func (m *Mask) Grown(r float64, w, h int) *Mask {
	g := NewMask(float64(m.x)-r, float64(m.y)-r, float64(m.x+m.w)+r, float64(m.y+m.h)+r, w, h)
	n := int(math.Ceil(r)) + 1
	for y := range m.h {
		for x := range m.w {
			a := m.a[y*m.w+x]
			if a < 16 {
				continue
			}
			for dy := -n; dy <= n; dy++ {
				for dx := -n; dx <= n; dx++ {
					if c := r + 0.5 - math.Hypot(float64(dx), float64(dy)); c > 0 {
						g.Put(m.x+x+dx, m.y+y+dy, min(c, 1)*float64(a)/255)
					}
				}
			}
		}
	}
	return g
}

// Paint lays ink over img through the mask; strength 0..1 thins it.
func (m *Mask) Paint(img *image.RGBA, ink color.RGBA, strength float64) {
	s := int(strength*256 + 0.5)
	for y := range m.h {
		for x := range m.w {
			if a := int(m.a[y*m.w+x]) * s >> 8; a > 0 {
				Blend(img, m.x+x, m.y+y, ink, a)
			}
		}
	}
}

// Blend mixes ink into one pixel by a/255.
func Blend(img *image.RGBA, x, y int, ink color.RGBA, a int) {
	k := img.PixOffset(x, y)
	p := img.Pix[k : k+3 : k+3]
	p[0] = mix8(p[0], ink.R, a)
	p[1] = mix8(p[1], ink.G, a)
	p[2] = mix8(p[2], ink.B, a)
}

func mix8(p, q uint8, a int) uint8 { return uint8((int(p)*(255-a) + int(q)*a + 127) / 255) }

// segmentDist is the distance from (px, py) to the segment.
func segmentDist(px, py, x0, y0, x1, y1 float64) float64 {
	dx, dy := x1-x0, y1-y0
	t := 0.0
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t = min(max(((px-x0)*dx+(py-y0)*dy)/l2, 0), 1)
	}
	return math.Hypot(px-x0-t*dx, py-y0-t*dy)
}

// Stripe keeps only diagonal stripes of a mask, half the pitch wide, softened.
func (m *Mask) Stripe(pitch float64) {
	for y := range m.h {
		for x := range m.w {
			d := math.Mod(float64(m.x+x+m.y+y), pitch) // distance across the stripes, times √2
			cover := min(max(0.5+(pitch/4-math.Abs(d-pitch/2))/math.Sqrt2, 0), 1)
			m.a[y*m.w+x] = uint8(float64(m.a[y*m.w+x])*cover + 0.5)
		}
	}
}

// Head covers an arrow head with its tip at (x, y).
func (m *Mask) Head(x, y, ux, uy, size, more float64) {
	bx, by := x-ux*size, y-uy*size
	wx, wy := -uy*size*0.42, ux*size*0.42
	m.Polygon([]float64{x, bx + wx, bx - wx}, []float64{y, by + wy, by - wy})
	if more > 0 {
		m.Stroke(x, y, bx+wx, by+wy, more)
		m.Stroke(x, y, bx-wx, by-wy, more)
		m.Stroke(bx+wx, by+wy, bx-wx, by-wy, more)
	}
}
