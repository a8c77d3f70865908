package picture

import (
	"image/color"
	"math"

	"selvage/internal/picture/paint"
)

// ValueMap says how Surface.Values are shown: as colours and as contour lines.
type ValueMap struct {
	Ramp   *paint.Ramp
	Min    float64 // mm at the ramp's start
	Max    float64 // mm at its end, > Min
	Step   float64 // mm between contour lines; 0: none
	Limit  float64 // mm, drawn as a bold line and marked in the legend; NaN: none
	Title  string  // of the legend, with the unit: "clearance, mm"
	Signed bool    // labels carry their sign, levels below zero are dashed
}

// place returns where a value lies on the ramp, 0..1.
func (m *ValueMap) place(v float64) float64 {
	w := m.Max - m.Min
	if !(w > 0) {
		return 0
	}
	return min(max((v-m.Min)/w, 0), 1)
}

// table lays out the map's colours in every tone. Shade takes lightness away in
// proportion, at most mapShade of it: form shows, and the order of the values stays.
func (m *ValueMap) table() (t [mapLevels][toneLevels]color.RGBA) {
	for i := range t {
		c := m.Ramp.At(float64(i) / (mapLevels - 1))
		for j := range t[i] {
			dark := mapShade * (1 - math.Min(1, float64(j)/(toneLevels-1)/mapFull))
			t[i][j] = paint.Lab(c.L*(1-dark), c.A*(1-dark), c.B*(1-dark)).RGB()
		}
	}
	return t
}

const (
	// mapShade is the greatest share of lightness that shade takes from a map.
	mapShade = 0.42
	// mapFull is the tone from which a map's colour is shown at full lightness.
	mapFull = 0.8
)
