package picture

import (
	"math"

	"selvage/internal/picture/paint"
	"selvage/r3"
)

// Style is how a line is drawn; it says how sure the line is.
type Style uint8

// The styles of a line.
const (
	Solid  Style = iota // measured
	Dashed              // bridged or doubtful
	Beads               // not captured: open beads, no line
)

// Line is a curve on the surface. Parts that the surface hides are left out.
type Line struct {
	Points []r3.Vec
	Closed bool
	Style  Style
	Width  float64 // CSS pixels; 0: 2.5
	Warn   bool    // in the second ink
	Front  bool    // drawn in front of everything
}

const (
	// lineLift in mm keeps a line that lies in the surface from being hidden by
	// it: the curve cuts corners between its points, and a scan is noisy.
	lineLift  = 0.22
	lineUsual = 2.5
	dashOn    = 7.0
	dashOff   = 5.0
	beadPitch = 9.0
	beadSize  = 3.0
)

// run is one step of a flattened line in pixels.
type run struct {
	x, y float64
	at   float64 // distance along the line in pixels
	seen bool
}

// flatten follows the line in steps of about a pixel and a half.
func (c *canvas) flatten(l Line) []run {
	pts := l.Points
	if l.Closed && len(pts) > 1 {
		pts = append(pts[:len(pts):len(pts)], pts[0])
	}
	var out []run
	at := 0.0
	for i, p := range pts {
		x, y, z := c.proj.at(p)
		if i == 0 {
			out = append(out, run{x, y, 0, l.Front || c.visible(x, y, z)})
			continue
		}
		x0, y0, z0 := c.proj.at(pts[i-1])
		d := math.Hypot(x-x0, y-y0)
		n := min(1+int(d/1.5), maxSide)
		for k := 1; k <= n; k++ {
			t := float64(k) / float64(n)
			px, py, pz := x0+t*(x-x0), y0+t*(y-y0), z0+t*(z-z0)
			out = append(out, run{px, py, at + t*d, l.Front || c.visible(px, py, pz)})
		}
		at += d
	}
	mend(out)
	return out
}

// visible reports whether a point at depth z lies before the surface, with lift.
// The deepest of the nine pixels around counts, so that a line along an outline stays.
func (c *canvas) visible(x, y, z float64) bool {
	ix, iy := int(math.Floor(x)), int(math.Floor(y))
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			px, py := ix+dx, iy+dy
			if uint(px) >= uint(c.w()) || uint(py) >= uint(c.h()) {
				continue
			}
			if k, _, _ := c.depth.nearest(px, py); k < 0 || z+lineLift >= float64(c.depth.z[k]) {
				return true
			}
		}
	}
	return false
}

// mend removes flickers shorter than a few pixels from the visibility.
func mend(r []run) {
	const short = 6
	for i := 0; i < len(r); {
		j := i
		for j < len(r) && r[j].seen == r[i].seen {
			j++
		}
		if i > 0 && j < len(r) && r[j-1].at-r[i].at < short {
			for k := i; k < j; k++ {
				r[k].seen = r[i-1].seen
			}
		}
		i = j
	}
}

// line draws one line: halo first, then ink.
func (c *canvas) line(l Line) {
	if len(l.Points) < 2 {
		return
	}
	width := l.Width
	if width == 0 {
		width = lineUsual
	}
	runs := c.flatten(l)
	ink := c.ground.ink
	if l.Warn {
		ink = c.ground.warn
	}
	hw := c.px(width) / 2
	if l.Style == Beads {
		hw = c.px(beadSize)
	}
	m := c.maskAround(runs, hw+c.px(haloWide))
	halo := c.maskAround(runs, hw+c.px(haloWide))
	switch l.Style {
	case Beads:
		c.beads(m, halo, runs)
	default:
		c.strokes(m, halo, runs, l.Style, hw)
	}
	halo.Paint(c.img, c.ground.halo, 0.9)
	m.Paint(c.img, ink, 1)
}

func (c *canvas) strokes(m, halo *paint.Mask, runs []run, style Style, hw float64) {
	period := c.px(dashOn + dashOff)
	for i := 1; i < len(runs); i++ {
		a, b := runs[i-1], runs[i]
		if !a.seen || !b.seen || style == Dashed && math.Mod(a.at, period) > c.px(dashOn) {
			continue
		}
		m.Stroke(a.x, a.y, b.x, b.y, hw)
		halo.Stroke(a.x, a.y, b.x, b.y, hw+c.px(haloWide))
	}
}

// beads draws open rings along the line: there is no line here, only a place.
func (c *canvas) beads(m, halo *paint.Mask, runs []run) {
	r := c.px(beadSize)
	next := r
	for _, p := range runs {
		if p.at < next {
			continue
		}
		next = p.at + c.px(beadPitch)
		if p.seen {
			halo.Disc(p.x, p.y, r+c.px(haloWide))
			m.Ring(p.x, p.y, r-c.px(0.8), c.px(0.8), 0, 2*math.Pi)
		}
	}
}

func (c *canvas) maskAround(runs []run, r float64) *paint.Mask {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range runs {
		x0, x1 = min(x0, p.x), max(x1, p.x)
		y0, y1 = min(y0, p.y), max(y1, p.y)
	}
	return paint.NewMask(x0-r, y0-r, x1+r, y1+r, c.w(), c.h())
}
