package picture

import (
	"math"

	"selvage/internal/picture/paint"
	"selvage/r3"
)

// Arc is a hatched band beside a stretch of a curve: the stretch that could not
// be read. It stands outside the curve, so that what it speaks of stays in sight.
type Arc struct {
	Points []r3.Vec // the stretch
	Center r3.Vec   // of the whole curve: the band moves away from it
	Axis   r3.Vec   // unit; the band is moved across it
	Offset float64  // mm from the curve to the band's middle
}

// PinKind says what a pin asks for, by its shape.
type PinKind uint8

// The kinds of pins.
const (
	PinScan PinKind = iota // scan again: an open ring
	PinAsk                 // the dentist decides: a full disc
	PinNote                // worth knowing: a square
)

// Pin marks a spot with a ring and a numbered badge beside it.
type Pin struct {
	At     r3.Vec
	Across float64 // mm: the ring holds what is this wide; 0: a point
	Kind   PinKind
	Number string // in the badge
	Text   string // beside the badge, for example a value; may be empty
}

// Arrow is a straight arrow in space, drawn in front.
type Arrow struct {
	From, To r3.Vec
	Both     bool   // heads at both ends: a distance
	Text     string // beside its middle
}

// Angle is an arc between two directions at a point, with a word on it.
type Angle struct {
	At     r3.Vec
	A, B   r3.Vec // unit
	Radius float64
	Text   string
}

// RimWord is a word at the edge of the picture, where a direction leaves it.
type RimWord struct {
	Dir  r3.Vec
	Word string
}

const (
	arcHalf    = 5.5 // CSS pixels: half the band's width
	hatchBand  = 6.0 // CSS pixels from stripe to stripe
	ringRadius = 12.0
	badgeFar   = 40.0
	badgeHalf  = 12.0
	arrowHead  = 11.0
)

// arc draws a hatched band: halo, outline, then stripes on white.
func (c *canvas) arc(a Arc) {
	pts := make([]r3.Vec, 0, len(a.Points))
	for _, p := range a.Points {
		out := p.Sub(a.Center).Reject(a.Axis).UnitOr(r3.Vec{})
		pts = append(pts, p.AddScaled(a.Offset, out))
	}
	if len(pts) == 0 {
		return
	}
	if len(pts) == 1 {
		pts = append(pts, pts[0])
	}
	runs := c.flatten(Line{Points: pts, Front: true})
	layer := func(r float64) *paint.Mask {
		m := c.maskAround(runs, c.px(r))
		for i := 1; i < len(runs); i++ {
			m.Stroke(runs[i-1].x, runs[i-1].y, runs[i].x, runs[i].y, c.px(r))
		}
		return m
	}
	layer(arcHalf+2.6).Paint(c.img, c.ground.halo, 0.9)
	layer(arcHalf+1.2).Paint(c.img, c.ground.ink, 1)
	for _, r := range runs {
		h := c.px(arcHalf)
		c.taken = append(c.taken, box{r.x - h, r.y - h, r.x + h, r.y + h})
	}
	in := layer(arcHalf)
	in.Paint(c.img, c.ground.halo, 1)
	in.Stripe(c.px(hatchBand))
	in.Paint(c.img, c.ground.warn, 1)
}

// target draws the ring of a pin around its spot.
func (c *canvas) target(p Pin) {
	x, y, _ := c.proj.at(p.At)
	r := c.ring(p)
	c.ink(box{x - r, y - r, x + r, y + r}, c.px(4), func(m *paint.Mask, more float64) {
		m.Ring(x, y, r, c.px(1.3)+more, 0, 2*math.Pi)
	})
	c.taken = append(c.taken, box{x - r, y - r, x + r, y + r})
}

// ring is the radius of a pin's ring in pixels.
func (c *canvas) ring(p Pin) float64 {
	return max(c.px(ringRadius), c.proj.perMM*p.Across/2+c.px(5))
}

// ink draws a shape twice: wider in the halo's colour, then in ink.
func (c *canvas) ink(b box, pad float64, shape func(m *paint.Mask, more float64)) {
	m := paint.NewMask(b.x0-pad, b.y0-pad, b.x1+pad, b.y1+pad, c.w(), c.h())
	shape(m, c.px(haloWide))
	m.Paint(c.img, c.ground.halo, 0.9)
	m = paint.NewMask(b.x0-pad, b.y0-pad, b.x1+pad, b.y1+pad, c.w(), c.h())
	shape(m, 0)
	m.Paint(c.img, c.ground.ink, 1)
}

// badge draws the number of a pin beside its ring, where there is room, with a
// leader between them, and the text beside the number.
func (c *canvas) badge(p Pin) {
	if p.Number == "" && p.Text == "" {
		return
	}
	x, y, _ := c.proj.at(p.At)
	bx, by := c.badgePlace(p, x, y)
	d := math.Hypot(bx-x, by-y)
	ux, uy := (bx-x)/d, (by-y)/d
	r, h := c.ring(p), c.px(badgeHalf)
	if p.Number == "" { // the text alone: the leader runs up to it
		h = 0
	}
	x0, y0 := x+ux*(r+c.px(1.3)), y+uy*(r+c.px(1.3))
	x1, y1 := bx-ux*h, by-uy*h
	c.ink(box{min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)}, c.px(4), func(m *paint.Mask, more float64) {
		m.Stroke(x0, y0, x1, y1, c.px(1)+more)
	})
	if p.Number != "" {
		c.badgeShape(p.Kind, bx, by)
	}
	ink := c.ground.ink
	if p.Kind == PinAsk {
		ink = c.ground.halo
	}
	w := c.type_.Width(p.Number, c.px(textSize))
	m := paint.NewMask(bx-w, by-h, bx+w, by+h, c.w(), c.h())
	c.type_.Word(m, p.Number, bx-w/2, by+0.36*c.px(textSize), c.px(textSize))
	m.Paint(c.img, ink, 1)
	c.taken = append(c.taken, box{bx - h, by - h, bx + h, by + h})
	if p.Text != "" {
		b := c.wordBox(p.Text, 0, 0, textSize+1)
		side := h + c.px(3) + b.x1
		if bx+side+b.x1 > float64(c.w()) || ux < 0 && bx-side-b.x1 > 0 {
			side = -side
		}
		c.words(p.Text, bx+side, by, textSize+1)
	}
}

// badgeShape draws the ground of a badge: an open ring, a full disc or a square.
func (c *canvas) badgeShape(k PinKind, x, y float64) {
	h := c.px(badgeHalf)
	b := box{x - h, y - h, x + h, y + h}
	at := func() *paint.Mask { return paint.NewMask(b.x0-4, b.y0-4, b.x1+4, b.y1+4, c.w(), c.h()) }
	ground, edge := at(), at()
	if k == PinNote {
		ground.Box(b.x0, b.y0, b.x1, b.y1, c.px(2))
		ground.Paint(c.img, c.ground.halo, 1)
		inner := at()
		edge.Box(b.x0, b.y0, b.x1, b.y1, c.px(2))
		edge.Paint(c.img, c.ground.ink, 1)
		inner.Box(b.x0+c.px(1.2), b.y0+c.px(1.2), b.x1-c.px(1.2), b.y1-c.px(1.2), c.px(1))
		inner.Paint(c.img, c.ground.halo, 1)
		return
	}
	ground.Disc(x, y, h)
	if k == PinAsk {
		ground.Paint(c.img, c.ground.ink, 1)
		return
	}
	ground.Paint(c.img, c.ground.halo, 1)
	edge.Ring(x, y, h-c.px(1.4), c.px(1.4), -0.25*math.Pi, 1.45*math.Pi) // open at the top
	edge.Paint(c.img, c.ground.ink, 1)
}

// badgePlace finds room for a badge and its text around a ring: away from the
// picture's middle first, then round in steps, nearer before farther.
func (c *canvas) badgePlace(p Pin, x, y float64) (bx, by float64) {
	away := math.Atan2(y-float64(c.h())/2, x-float64(c.w())/2)
	if math.Hypot(y-float64(c.h())/2, x-float64(c.w())/2) < c.px(24) {
		away = -math.Pi / 4 // in the middle: to the upper right
	}
	h := c.px(badgeHalf + 2)
	tw := 0.0
	if p.Text != "" {
		tw = c.type_.Width(p.Text, c.px(textSize+1)) + c.px(8)
	}
	turns := [...]float64{0, 1, -1, 2, -2, 3, -3, 4}
	near := c.ring(p) + c.px(badgeFar-ringRadius)
	for _, far := range [...]float64{near, near + c.px(24), near + c.px(56)} {
		for _, t := range turns {
			a := away + t*math.Pi/4
			bx, by = x+far*math.Cos(a), y+far*math.Sin(a)
			b := box{bx - h, by - h, bx + h, by + h}
			if math.Cos(a) < 0 {
				b.x0 -= tw
			} else {
				b.x1 += tw
			}
			if dx, dy := c.inside(b); dx == 0 && dy == 0 && c.free(b) {
				return bx, by
			}
		}
	}
	bx = min(max(x+near*math.Cos(away), 2*h), float64(c.w())-2*h)
	by = min(max(y+near*math.Sin(away), 2*h), float64(c.h())-2*h)
	if bx == x && by == y {
		bx += h
	}
	return bx, by
}

// arrow draws a straight arrow and its text.
func (c *canvas) arrow(a Arrow) {
	x0, y0, _ := c.proj.at(a.From)
	x1, y1, _ := c.proj.at(a.To)
	l := math.Hypot(x1-x0, y1-y0)
	if l < 1 {
		return
	}
	ux, uy := (x1-x0)/l, (y1-y0)/l
	head := min(c.px(arrowHead), l/2)
	c.ink(box{min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)}, head+c.px(4), func(m *paint.Mask, more float64) {
		tail := 0.0
		if a.Both {
			tail = head * 0.7
			m.Head(x0, y0, -ux, -uy, head, more)
		}
		m.Stroke(x0+ux*tail, y0+uy*tail, x1-ux*head*0.7, y1-uy*head*0.7, c.px(1.5)+more)
		m.Head(x1, y1, ux, uy, head, more)
	})
	if a.Text == "" {
		return
	}
	b := c.wordBox(a.Text, 0, 0, textSize+1)
	off := math.Abs(uy)*b.x1 + math.Abs(ux)*b.y1 + c.px(6)
	sx, sy := -uy, ux
	if sy > 0 || sy == 0 && sx < 0 { // above, or to the right of an upright arrow
		sx, sy = -sx, -sy
	}
	x, y := (x0+x1)/2+sx*off, (y0+y1)/2+sy*off
	b = c.wordBox(a.Text, x, y, textSize+1)
	dx, dy := c.inside(b)
	c.words(a.Text, x+dx, y+dy, textSize+1)
}

// angleAside is how far beyond the first side of an angle its word stands, rad.
const angleAside = 0.12

// angle draws an arc from direction A to direction B and its word beyond the middle.
func (c *canvas) angle(a Angle) {
	n := a.A.Cross(a.B)
	axis, ok := n.Unit()
	if !ok {
		return
	}
	turn := a.A.Angle(a.B)
	steps := max(2, int(turn/0.05))
	pts := make([]r3.Vec, steps+1)
	for i := range pts {
		d := r3.Rotation(axis, turn*float64(i)/float64(steps)).Apply(a.A)
		pts[i] = a.At.AddScaled(a.Radius, d)
	}
	c.line(Line{Points: pts, Front: true, Width: 2})
	// the word stands outside the angle, beyond its first side, where a narrow
	// angle has room too
	mid := r3.Rotation(axis, -angleAside).Apply(a.A)
	x, y, _ := c.proj.at(a.At.AddScaled(a.Radius, mid))
	vx, vy, _ := c.proj.dir(a.A.Cross(axis).UnitOr(mid))
	b := c.wordBox(a.Text, 0, 0, textSize+1)
	far := math.Abs(vx)*b.x1 + math.Abs(vy)*b.y1 + c.px(4)
	c.words(a.Text, x+vx*far, y+vy*far, textSize+1)
}
