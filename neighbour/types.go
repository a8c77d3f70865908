package neighbour

import (
	"selvage/bvh"
	"selvage/measure"
	"selvage/r3"
)

// Input is what [Measure] looks at.
type Input struct {
	Scan   *bvh.Tree // the scan that shows the neighbour
	Role   string    // its role, for the places
	Sigma  float64   // mm, its noise, one standard deviation; 0: 0.01
	Margin []r3.Vec  // closed curve round the preparation, in the frame of Scan
	Axis   r3.Vec    // unit insertion axis
	Toward r3.Vec    // unit, along the arch from the preparation to this neighbour
	Facing r3.Vec    // a point on the side of the neighbour that faces the gap
	Middle r3.Vec    // the neighbour's own middle, on its crest
	Width  float64   // mm, buccolingual, of the neighbour's crown; 0: 9
	Front  bool      // an incisor or canine, which meets its neighbour near the edge
	Before *Before   // nil where there is no scan from before
}

// Before is the scan of the same arch before the tooth was cut.
type Before struct {
	Scan              *bvh.Tree
	Sigma             float64 // mm, its noise; 0: 0.01
	Spacing           float64 // mm, its median edge near the tooth
	WorkingFromBefore r3.Rigid
	U                 float64 // mm, k = 2, of that registration beside the tooth
}

// Result is what was measured on one neighbour. A value that was not measured says
// why.
type Result struct {
	// Contact is where the crown will meet the neighbour: the most prominent point,
	// towards the gap, of what lies between a third of the neighbour's height and
	// where it turns to its biting surface. Normal points out of the neighbour.
	Contact, Normal r3.Vec
	// Space is the distance there, towards the neighbour, from the wall of the
	// preparation: how thick the crown will be.
	Space measure.Value
	// Gap is the least distance from the margin to the neighbour, below the gum too:
	// where gum hides the neighbour's neck its lowest visible part is carried on.
	Gap measure.Value
	// Bulge is how far the neighbour overhangs the contact, seen along the axis: by how
	// much what lies over two thirds of its height stands nearer to the gap than
	// anything lower. Zero on a tooth that narrows upwards from its height of contour.
	Bulge measure.Value
	// Hollow is the greatest depth of the facing side under a chord of up to 3 mm
	// across the arch: zero where it is convex.
	Hollow measure.Value
	// Damage is the deepest loss since the scan from before, a mean over 0.6 mm along the
	// normal, where both scans show the surface; Compared is the share of the facing side
	// where they do. Two teeth in contact hide the contact from any scan: there the loss is
	// how deep the side lies under what surrounds it, wherever that proves more. Not
	// measured where the two scans do not fit each other beside the tooth to a tenth of a
	// millimetre.
	Damage   measure.Value
	Compared float64
}
