package ply

import (
	"math"

	"selvage/mesh"
)

// colors gathers the colours of the vertices and brings them to 0-255.
//
// Whole numbers of one byte are taken as they are, of two bytes as parts of
// 65535, of four as 0-255. Floats are parts of one, unless some value of
// the file is above one: then they are 0-255 too. So they are kept until all
// have been seen.
type colors struct {
	present bool
	float   bool
	scale   float64 // of a whole number
	whole   []mesh.RGB
	parts   [][3]float32
	top     float32 // the highest of parts
}

// newColors returns the gatherer for channels of the given types. It is decided
// by the first; files mix them never.
func newColors(r, _, _ number) colors {
	c := colors{present: true, float: r.float, scale: 1}
	if r.size == 2 {
		c.scale = 255.0 / 65535
	}
	return c
}

// grow makes room for n colours.
func (c *colors) grow(n int) {
	switch {
	case !c.present:
	case c.float:
		c.parts = make([][3]float32, 0, n)
	default:
		c.whole = make([]mesh.RGB, 0, n)
	}
}

// add takes the colour of the next vertex.
func (c *colors) add(r, g, b float64) {
	switch {
	case !c.present:
	case c.float:
		p := [3]float32{float32(r), float32(g), float32(b)}
		c.top = max(c.top, channelTop(p))
		c.parts = append(c.parts, p)
	default:
		c.whole = append(c.whole, mesh.RGB{channel(r * c.scale), channel(g * c.scale), channel(b * c.scale)})
	}
}

// channelTop returns the highest of three channels, ignoring a NaN.
func channelTop(p [3]float32) float32 {
	var top float32
	for _, v := range p {
		if v > top {
			top = v
		}
	}
	return top
}

// channel rounds to a byte; what is no number is black.
func channel(v float64) uint8 {
	if !(v > 0) {
		return 0
	}
	return uint8(math.Round(min(v, 255)))
}

// rgb returns the colours, nil if the file has none.
func (c *colors) rgb() []mesh.RGB {
	if !c.present || !c.float {
		return c.whole
	}
	scale := 255.0
	if c.top > 1 {
		scale = 1
	}
	out := make([]mesh.RGB, len(c.parts))
	for i, p := range c.parts {
		for k, v := range p {
			out[i][k] = channel(float64(v) * scale)
		}
	}
	return out
}
