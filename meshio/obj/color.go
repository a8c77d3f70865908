package obj

import (
	"math"

	"selvage/mesh"
)

// colors gathers the colours of the vertices.
//
// They are parts of one, unless some value of the file is above one: then they
// are 0-255. A file that colours only some of its vertices is read as one
// without colours, since a made-up colour would be taken for tissue.
type colors struct {
	parts [][3]float32
	top   float64
}

// add takes the colour of a vertex; vertices come in order.
func (c *colors) add(rgb []float64) {
	c.top = max(c.top, rgb[0], rgb[1], rgb[2])
	c.parts = append(c.parts, [3]float32{float32(rgb[0]), float32(rgb[1]), float32(rgb[2])})
}

// rgb returns one colour for each of n vertices, or nil if some had none.
func (c *colors) rgb(n int) []mesh.RGB {
	if n == 0 || len(c.parts) != n {
		return nil
	}
	scale := 255.0
	if c.top > 1 {
		scale = 1
	}
	out := make([]mesh.RGB, n)
	for i, p := range c.parts {
		for k, v := range p {
			out[i][k] = uint8(math.Round(min(max(float64(v)*scale, 0), 255)))
		}
	}
	return out
}
