package picture

import (
	"image"
	"image/color"
	"math"

	"selvage/internal/picture/paint"
)

// tone is how a tint takes light.
type tone struct {
	ramp     *paint.Ramp
	contrast float32 // how far light and shade are apart
}

// tones lists the ramps of the tints: stone colours, warm in the light and cool
// in the shade, which shows form without using colour to say anything.
func tones() [4]tone {
	return [4]tone{
		Subject:  {paint.NewRamp(paint.Lab(0.24, 0.002, -0.018), paint.Lab(0.60, 0.004, 0.006), paint.Lab(0.84, 0.003, 0.016), paint.Lab(0.975, 0.000, 0.012)), 1},
		Context:  {paint.NewRamp(paint.Lab(0.46, 0.000, -0.010), paint.Lab(0.74, 0.000, -0.002), paint.Lab(0.955, 0.000, 0.004)), 0.9},
		Opposing: {paint.NewRamp(paint.Lab(0.30, -0.008, -0.040), paint.Lab(0.62, -0.012, -0.034), paint.Lab(0.93, -0.006, -0.014)), 0.95},
		Tool:     {paint.NewRamp(paint.Lab(0.42, 0.000, -0.012), paint.Lab(0.80, 0.000, -0.006), paint.Lab(0.95, 0.000, -0.002)), 0.9},
	}
}

// lamps are the lights, in picture axes (y down): a key from the upper left, as
// shading is read since childhood, a fill from the right, a rim from below.
var lamps = [...]struct {
	dir   vec3
	power float32
}{
	{vec3{-0.48, -0.56, 0.675}, 0.62},
	{vec3{0.70, -0.10, 0.707}, 0.20},
	{vec3{0.10, 0.62, 0.778}, 0.14},
}

// wrap lets light reach a little past the terminator: a matte stone, not a ball
// bearing. ambient is what reaches every point that sees the open.
const (
	wrap    = 0.25
	ambient = 0.16
)

// lit returns the light on a normal, about 0..1.
func lit(n vec3) float32 {
	sum := float32(ambient)
	for _, l := range lamps {
		if d := (n.dot(l.dir) + wrap) / (1 + wrap); d > 0 {
			sum += l.power * d
		}
	}
	return sum
}

const (
	// creaseDepth and crestRise are tone per radian of turn: a fissure (about
	// -0.5 rad) goes nearly black, a finish line's edge (about +0.4) lights up.
	creaseDepth = 0.55
	crestRise   = 0.30
	crestMost   = 0.16
	creaseMost  = 0.42
	// openPower deepens what sees little of the sky.
	openPower = 1.15
)

// toneAt combines light, openness and crests into one tone, 0..1.
func (l *light) toneAt(k int, n vec3, contrast float32) float32 {
	t := lit(n) * (1 - openPower*(1-l.open[k]))
	switch c := l.crest[k]; {
	case c > 0:
		t += min(crestRise*c, crestMost)
	default:
		t += max(creaseDepth*c, -creaseMost)
	}
	return 0.5 + (min(max(t-l.outline(k), 0), 1)-0.5)*contrast
}

const (
	// outlineStep in mm is a step in depth that is drawn as an outline, and
	// outlineDark how much tone it takes.
	outlineStep = 1.2
	outlineDark = 0.34
)

// outline darkens a pixel in front of a step in depth, so that shapes stand apart
// in grey print. It is 0 away from steps.
func (l *light) outline(k int) float32 {
	x, y := k%l.w, k/l.w
	if x == 0 || y == 0 || x == l.w-1 || y == l.h-1 {
		return 0
	}
	z := l.z[k] - outlineStep
	if l.z[k-1] < z || l.z[k+1] < z || l.z[k-l.w] < z || l.z[k+l.w] < z {
		return outlineDark
	}
	return 0
}

// shader turns hits into colours.
type shader struct {
	g      *gbuffer
	l      *light
	tones  [4][paint.RampSteps]color.RGBA
	m      *ValueMap
	levels [mapLevels][toneLevels]color.RGBA
	ground ground
}

const (
	mapLevels  = 256
	toneLevels = 128
)

// shade colours every pixel as the mean of its samples.
func (g *gbuffer) shade(l *light, m *ValueMap, gr ground) *image.RGBA {
	s := &shader{g: g, l: l, m: m, ground: gr}
	for i, t := range tones() {
		for k := range s.tones[i] {
			s.tones[i][k] = t.ramp.Step(k).RGB()
		}
	}
	if m != nil {
		s.levels = m.table()
	}
	img := image.NewRGBA(image.Rect(0, 0, g.w, g.h))
	inBands(g.h, bandRows, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range g.w {
				img.SetRGBA(x, y, s.pixel(x, y))
			}
		}
	})
	return img
}

// pixel averages the samples; a triangle that owns several is shaded once.
func (s *shader) pixel(x, y int) color.RGBA {
	const n = perPixel * perPixel
	var ids [n]uint32
	var sum [3]int
	for j := range perPixel {
		for i := range perPixel {
			ids[j*perPixel+i] = s.g.id[(y*perPixel+j)*s.g.sw+x*perPixel+i]
		}
	}
	var done [n]bool
	for a := range ids {
		if done[a] {
			continue
		}
		count := 0
		for b := a; b < n; b++ {
			if ids[b] == ids[a] {
				done[b] = true
				count++
			}
		}
		c := s.sample(ids[a], x, y, x*perPixel+a%perPixel, y*perPixel+a/perPixel)
		sum[0] += count * int(c.R)
		sum[1] += count * int(c.G)
		sum[2] += count * int(c.B)
	}
	return color.RGBA{uint8((sum[0] + n/2) / n), uint8((sum[1] + n/2) / n), uint8((sum[2] + n/2) / n), 255}
}

// hatchPitch is the distance of hatch lines in pixels on the inside of a surface.
const hatchPitch = 7

func (s *shader) sample(id uint32, x, y, sx, sy int) color.RGBA {
	h := s.g.locate(id, sx, sy)
	if !h.present {
		return s.ground.empty(sx, sy)
	}
	k := y*s.l.w + x
	if h.inside { // the inner side of a scan: flat and hatched, never taken for a tooth
		if (sx+sy)/perPixel%hatchPitch < 2 {
			return color.RGBA{70, 74, 82, 255}
		}
		return color.RGBA{128, 132, 140, 255}
	}
	n := s.l.n[k]
	if s.l.id[k] != id {
		n = s.g.normal(h)
	}
	tint := h.tint()
	t := s.l.toneAt(k, n, toneContrast[tint])
	if s.m != nil && h.d.Values != nil {
		if v := h.value(); !math.IsNaN(v) {
			return s.levels[int(s.m.place(v)*(mapLevels-1)+0.5)][int(t*(toneLevels-1)+0.5)]
		}
	}
	if h.d.Own && len(h.d.Mesh.Color) == len(h.d.Mesh.Pos) {
		return h.own(t)
	}
	return s.tones[tint][int(t*(paint.RampSteps-1)+0.5)]
}

var toneContrast = [4]float32{Subject: 1, Context: 0.9, Opposing: 0.95, Tool: 0.9}

// value interpolates the surface's value; NaN if a corner has none.
func (h hit) value() float64 {
	v := h.d.Values
	wa, wb := float64(h.wa), float64(h.wb)
	return float64(wa*v[h.c[0]]) + float64(wb*v[h.c[1]]) + float64((1-wa-wb)*v[h.c[2]])
}

// own returns the scan's own colour, in the light.
func (h hit) own(t float32) color.RGBA {
	a, b, c := h.d.Mesh.Color[h.c[0]], h.d.Mesh.Color[h.c[1]], h.d.Mesh.Color[h.c[2]]
	wc := 1 - h.wa - h.wb
	var out [3]uint8
	for i := range out {
		v := float32(h.wa*float32(a[i])) + float32(h.wb*float32(b[i])) + float32(wc*float32(c[i]))
		v *= ownDark + float32((1.15-ownDark)*t)
		out[i] = uint8(min(max(v, 0), 255) + 0.5)
	}
	return color.RGBA{out[0], out[1], out[2], 255}
}

// ownDark is the share of a scan's own colour that stays in full shade.
const ownDark = 0.45

// tint is the surface's, or Context where the triangle is dimmed.
func (h hit) tint() Tint {
	if h.d.Dim != nil && h.d.Dim[h.face] {
		return Context
	}
	return h.d.Tint
}
