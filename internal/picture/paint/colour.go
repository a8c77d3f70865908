package paint

import (
	"image/color"
	"math"
)

// Oklab is a colour by perceived lightness L (0 black, 1 white) and two
// opponent axes: A from green to red, B from blue to yellow. Equal distances
// look about equally different [Ottosson2020].
type Oklab struct{ L, A, B float64 }

// Lab is shorthand for an Oklab colour.
func Lab(l, a, b float64) Oklab { return Oklab{L: l, A: a, B: b} }

// Mix returns the colour a fraction t of the way from c to d.
func (c Oklab) Mix(d Oklab, t float64) Oklab {
	return Oklab{c.L + float64(t*(d.L-c.L)), c.A + float64(t*(d.A-c.A)), c.B + float64(t*(d.B-c.B))}
}

// Dist returns the Euclidean distance between two colours, about 0.01 for a
// just noticeable step.
func (c Oklab) Dist(d Oklab) float64 {
	l, a, b := c.L-d.L, c.A-d.A, c.B-d.B
	return math.Sqrt(float64(l*l) + float64(a*a) + float64(b*b))
}

// RGB returns the nearest sRGB colour; parts outside the gamut are clipped.
func (c Oklab) RGB() color.RGBA {
	l := cube(c.L + 0.3963377774*c.A + 0.2158037573*c.B)
	m := cube(c.L - 0.1055613458*c.A - 0.0638541728*c.B)
	s := cube(c.L - 0.0894841775*c.A - 1.2914855480*c.B)
	return color.RGBA{
		R: encodeSRGB(4.0767416621*l - 3.3077115913*m + 0.2309699292*s),
		G: encodeSRGB(-1.2684380046*l + 2.6097574011*m - 0.3413193965*s),
		B: encodeSRGB(-0.0041960863*l - 0.7034186147*m + 1.7076147010*s),
		A: 255,
	}
}

// OklabOf converts an sRGB colour; alpha is ignored.
func OklabOf(c color.RGBA) Oklab {
	r, g, b := decodeSRGB(c.R), decodeSRGB(c.G), decodeSRGB(c.B)
	l := math.Cbrt(0.4122214708*r + 0.5363325363*g + 0.0514459929*b)
	m := math.Cbrt(0.2119034982*r + 0.6806995451*g + 0.1073969566*b)
	s := math.Cbrt(0.0883024619*r + 0.2817188376*g + 0.6299787005*b)
	return Oklab{
		L: 0.2104542553*l + 0.7936177850*m - 0.0040720468*s,
		A: 1.9779984951*l - 2.4285922050*m + 0.4505937099*s,
		B: 0.0259040371*l + 0.7827717662*m - 0.8086757660*s,
	}
}

func cube(x float64) float64 { return x * x * x }

// encodeSRGB turns linear light into the 8-bit sRGB code (IEC 61966-2-1).
func encodeSRGB(x float64) uint8 {
	switch {
	case x <= 0:
		return 0
	case x >= 1:
		return 255
	case x <= 0.0031308:
		x *= 12.92
	default:
		x = 1.055*math.Pow(x, 1/2.4) - 0.055
	}
	return uint8(x*255 + 0.5)
}

// decodeSRGB is the inverse of encodeSRGB.
func decodeSRGB(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// Ramp is a run of colours from 0 to 1, spaced evenly to the eye.
type Ramp struct{ step [RampSteps]Oklab }

// RampSteps is the number of colours of a ramp: finer than eight bits of
// lightness, so that looking a colour up shows no step that the encoding would not.
const RampSteps = 512

// NewRamp lays a ramp through the stops so that equal steps along it are equal
// Oklab distances, wherever the stops lie. It panics with fewer than two stops,
// which would be a defect of the caller.
func NewRamp(stops ...Oklab) *Ramp {
	if len(stops) < 2 {
		panic("paint: a ramp needs two stops")
	}
	reach := make([]float64, len(stops)) // distance along the stops
	for i := 1; i < len(stops); i++ {
		reach[i] = reach[i-1] + stops[i].Dist(stops[i-1])
	}
	total := reach[len(stops)-1]
	var r Ramp
	k := 1
	for i := range r.step {
		d := total * float64(i) / (RampSteps - 1)
		for k < len(stops)-1 && reach[k] < d {
			k++
		}
		t := 0.0
		if w := reach[k] - reach[k-1]; w > 0 {
			t = (d - reach[k-1]) / w
		}
		r.step[i] = stops[k-1].Mix(stops[k], t)
	}
	return &r
}

// Step returns colour i of the ramp, 0 <= i < RampSteps.
func (r *Ramp) Step(i int) Oklab { return r.step[i] }

// At returns the colour at t; t is clamped to 0..1, NaN counts as 0.
func (r *Ramp) At(t float64) Oklab {
	if !(t > 0) {
		return r.step[0]
	}
	return r.step[int(min(t, 1)*(RampSteps-1)+0.5)]
}

// DepthRamp runs from a dark blue (little) through a grey blue and a grey
// straw to a pale straw (much). Lightness rises all the way, so it reads in grey print; it moves
// along blue-yellow only, which the common colour-vision deficiencies keep.
func DepthRamp() *Ramp {
	return NewRamp(
		Oklab{0.30, -0.015, -0.105},
		Oklab{0.46, -0.020, -0.060},
		Oklab{0.62, -0.012, 0.000},
		Oklab{0.78, -0.010, 0.060},
		Oklab{0.93, -0.012, 0.085},
	)
}

// SignedRamp runs from blue (negative) through near white (zero, at 0.5) to
// orange (positive), with equal lightness at both ends. In grey print the sign
// is carried by the contour lines: negative levels are dashed and labelled.
func SignedRamp() *Ramp {
	return NewRamp(
		Oklab{0.50, -0.035, -0.135},
		Oklab{0.74, -0.025, -0.065},
		Oklab{0.97, 0.000, 0.004},
		Oklab{0.74, 0.052, 0.088},
		Oklab{0.50, 0.074, 0.098},
	)
}
