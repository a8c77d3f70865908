package meshtest

import "math"

// Stump is a prepared tooth of revolution standing in a sulcus of gum.
type Stump struct {
	Radius    float64 // of the margin, mm
	Height    float64 // from the margin to the occlusal plane
	Taper     float64 // per wall, radians
	Shelf     float64 // width across the axis from the margin to the wall's line
	Slope     float64 // of the shelf, radians below horizontal at the margin
	Internal  float64 // radius of the inner corner
	Edge      float64 // radius of the margin's edge
	LineAngle float64 // radius of the occlusal line angle
	Root      float64 // mm of root seen below the margin
	Sulcus    float64 // width of the sulcus at its floor
}

// DefaultStump has a heavy chamfer one millimetre wide and walls of 6°.
func DefaultStump() Stump {
	return Stump{
		Radius: 5, Height: 4, Taper: 6 * math.Pi / 180, Shelf: 1, Slope: 10 * math.Pi / 180,
		Internal: 0.5, Edge: 0.05, LineAngle: 0.4, Root: 0.8, Sulcus: 0.4,
	}
}

// MarginKnot is the index of the margin among the knots of a stump.
const MarginKnot = 3

// Knots returns the profile: margin level is z = 0 at the sharp corner.
func (s Stump) Knots() []Knot {
	foot := s.Radius - s.Shelf
	up := s.Shelf * math.Tan(s.Slope)
	top := foot - (s.Height-up)*math.Tan(s.Taper)
	root := 5 * math.Pi / 180
	bottom := s.Radius - s.Root*math.Tan(root)
	return []Knot{
		{0, s.Height, 0},
		{top, s.Height, s.LineAngle},
		{foot, up, s.Internal},
		{s.Radius, 0, s.Edge},
		{bottom, -s.Root, 0.05},
		{bottom + s.Sulcus, -s.Root, 0.05},
		{bottom + s.Sulcus + 0.3, 0.7, 0.3},
		{bottom + s.Sulcus + 2.5, 0.3, 0},
	}
}
