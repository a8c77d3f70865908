// Package shade tells how far two colours are apart to an eye, and how the published
// judgements of observers grade that distance for a tooth and its crown.
//
// Colours are CIE L*a*b* for the illuminant and the observer of the instrument that
// measured them; two colours are comparable only where those are the same. The package
// reads no pictures: a photograph without calibration gives no colour.
package shade

import (
	"fmt"
	"math"
)

// Lab is a colour in CIE 1976 L*a*b*.
type Lab struct {
	L float64 `json:"l" doc:"Lightness, 0 black to 100 white."`
	A float64 `json:"a" doc:"Green below zero, red above."`
	B float64 `json:"b" doc:"Blue below zero, yellow above."`
}

// Valid reports whether c can be a measured colour: finite, with a lightness of 0 to
// 100 and a chroma that surfaces have.
func (c Lab) Valid() bool {
	const chroma = 160 // beyond the most saturated surface colours
	return c.L >= 0 && c.L <= 100 && math.Abs(c.A) <= chroma && math.Abs(c.B) <= chroma
}

// String returns the colour as on an instrument.
func (c Lab) String() string { return fmt.Sprintf("L* %.1f, a* %.1f, b* %.1f", c.L, c.A, c.B) }
